"""What a person types: numbers, weights, pounds, bands, dates, words and units."""
