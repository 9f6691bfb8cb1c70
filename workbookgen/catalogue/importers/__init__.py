"""Read food tables of other sources: FoodData Central, USDA's SR ASCII layout, a CSV template."""
