"""The words of the trade, each explained once: shown by ``?`` and in the glossary of the docs."""

#: word → what it means, in the order of a piece's life
TERMS: dict[str, str] = {
    "green weight": "The raw weight, trimmed, before any salt.",
    "cure time": "The days in the cure until the salt has reached the core.",
    "pick-up": "Brine that the meat takes up, in percent of its green weight.",
    "purge": "The liquid that the meat gives off while it cures.",
    "overhaul": "Turn the pieces in the cure and rub the salt in again.",
    "tare": "What is on the scale but is not meat: hook, net, string, casing, bag.",
    "hang weight": "The weight as hung, without the tare; losses are counted from it.",
    "bloom": "Thin white mould on the outside, usually wanted.",
    "case hardening": "A rim dried so hard that it holds back the water of the core.",
    "stalled": "The weight hardly falls any more although the target is not reached.",
    "equalise": "Rest a piece sealed and cold, until rim and core are alike.",
}
#: the screens whose keys page explains them
EXPLAINED_ON = ("rack", "lot", "needs", "round", "new_batch", "dose_sheet")
