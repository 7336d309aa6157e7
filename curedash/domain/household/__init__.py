"""The household: its book, codes and styles."""
