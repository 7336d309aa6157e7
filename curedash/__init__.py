"""curedash: a dashboard for people who dry-cure meat at home."""

__version__ = "0.1.0"
