"""Invented people, acts and places for problems. Nobody here exists."""

from __future__ import annotations

PEOPLE = (
    "Abel", "Bettany", "Cass", "Delphy", "Edda", "Fenn", "Gwil", "Hesper", "Ivo", "Jory", "Kit", "Lune",
    "Merrin", "Nell", "Osric", "Perrin", "Quill", "Roz", "Sorrel", "Tamsin", "Una", "Verity", "Wyn", "Yara",
    "Zeb", "Ansel", "Bryn", "Corin", "Dorrie", "Elowen",
)  # fmt: skip

ACTS = (
    "The Damp Ledgers", "Ferrule and Wick", "Nine Hen Yard", "The Gatepost Committee", "Slow Turnip Club",
    "Marrow Lane Irregulars", "Half a Ladder", "The Unpaid Bells", "Bracket & Daughter", "Soft Hinges",
    "The Thursday Kettles", "Plumb Bob Union", "Mostly Wicker", "The Borrowed Vans", "Tin Pantry",
    "Left Boot Assembly",
)  # fmt: skip

PLACES = (
    "the Old Dye House", "Pattern Street Hall", "the Ropewalk Barn", "Hobbin Fold village hall",
    "the Lower Granary", "Tarrow Wharf", "the Hatmakers' Institute", "Fennick Mill yard",
    "the Beamhouse", "Cooper's Loft", "the Salt Office", "Withy Green pavilion",
    "the Drill Shed", "Brindlow school hall", "the Bobbin Rooms", "Weir End sports hall",
)  # fmt: skip

EVENINGS = (
    "a harvest supper", "a wedding party", "a benefit night", "a winter ceilidh", "an album launch",
    "a street party moved indoors", "a school reunion", "a club night", "a summer fair", "a birthday dance",
)  # fmt: skip
