"""Text that people, pastes and other programs put into names."""

HOSTILE = [
    "[bold red]end[/]",
    "$(rm -rf)",
    "'; DROP TABLE lot; --",
    '"quoted"',
    "a\nb\tc",
    "牛肉の燻製",
    "🥩🥓 family 👨‍👩‍👧",
    "e\u0301\u0301\u0301",
    "\u202eright to left",
    "x" * 200,
    "",
    " ",
    "\x1b[31mred",
    "thick\x00end",
]
