"""Salting: a new batch, its dose sheet, ticks, jars and a mis-dose."""
