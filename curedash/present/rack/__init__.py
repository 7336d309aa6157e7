"""The Rack in words: its layouts, a line a lot, what stands around them, the pane of one lot."""
