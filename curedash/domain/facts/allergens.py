"""Words that name an allergen in an ingredient, so that a label can print them large.

The list of substances is that of Annex II of Regulation (EU) No 1169/2011 (from memory, not
read again for this table); the words people write for them are the project's own, and a word
that is missing here does not mean that an ingredient is free of allergens.
"""

SOURCE = "Regulation (EU) No 1169/2011, Annex II (memory); words by this project"

ALLERGEN_WORDS = (
    "wheat", "rye", "barley", "oats", "spelt", "gluten", "flour", "breadcrumb", "beer", "malt",
    "crustacean", "shrimp", "prawn", "crab", "egg", "fish", "anchovy", "peanut", "soy", "soya",
    "milk", "lactose", "casein", "cheese", "whey", "yoghurt", "cream", "almond", "hazelnut",
    "walnut", "cashew", "pecan", "brazil nut", "pistachio", "macadamia", "celery", "celeriac",
    "lovage", "mustard", "sesame", "wine", "vinegar", "sulphite", "sulfite", "sulphur", "lupin",
    "mollusc", "squid", "mussel", "oyster", "worcester", "spice mix", "seasoning",
)  # fmt: skip
