"""Real faults: stopped programs, full disks, closed folders, missing engines, hostile input."""
