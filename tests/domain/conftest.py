"""Properties are judged by their truth, not by how busy the machine is."""

from hypothesis import settings

settings.register_profile("patient", deadline=None)
settings.load_profile("patient")
