"""What a person does: one verb a module, one transaction each."""
