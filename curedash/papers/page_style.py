"""The style sheet of the page for the phone: light, dark and paper, readable at 360 pixels.

Every tone is repeated in words. Pairs of ink and ground have a contrast of at least 4.5 : 1
(WCAG 2.1, 1.4.3); whatever is tapped is at least 44 pixels high (WCAG 2.1, 2.5.5).
"""

from importlib.resources import files

STYLE = files("curedash.papers").joinpath("page.css").read_text(encoding="utf-8")
