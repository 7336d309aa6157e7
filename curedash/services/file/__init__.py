"""The file: copies, restore, doctor, drafts and the demo."""
