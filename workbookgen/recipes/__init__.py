"""Recipe files: amounts as cooks write them, reading, checking, writing."""
