"""The shell: one command a module."""
