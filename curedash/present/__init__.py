"""Words, signs, decimals and widths shared by the screens, the shell and the papers."""
