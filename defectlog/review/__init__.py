"""Rates with their intervals, control charts, expected scrap, cost, places, and whether a remedy worked. Pure."""
