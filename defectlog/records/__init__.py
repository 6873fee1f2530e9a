"""What a shop writes down: the kinds of record, their checks and their counts. Values only."""
