"""Invented people, acts and places for problems. Nobody here exists.

None of the people has the name of anybody in the gigs that come with the workbook: who carries the desk in a lesson
does not turn up as a fiddler in a problem.
"""

from __future__ import annotations

PEOPLE = (
    "Abel", "Bettany", "Cass", "Delphy", "Edda", "Fenn", "Gwil", "Hesper", "Ilar", "Jenna", "Kerra", "Lune",
    "Merrin", "Nell", "Osric", "Pasco", "Quenby", "Rosen", "Sorrel", "Talan", "Una", "Verity", "Wyn", "Yara",
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
    "the Lower Granary", "the Wharf Rooms", "the Hatmakers' Institute", "the Mill Loft",
    "the Beamhouse", "Cooper's Loft", "the Salt Office", "the Pavilion at Withy Green",
    "the Drill Shed", "Brindlow school hall", "the Bobbin Rooms", "Weir End sports hall",
)  # fmt: skip
"""All under a roof: rooms ring and have walls."""

GROUNDS = (
    "Tarrow Wharf", "Fennick Mill yard", "Withy fairground", "the Weir End meadow", "the Salt Office courtyard",
    "Hobbin Fold common", "Brindlow rectory garden", "the Ropewalk quay",
)  # fmt: skip
"""All under the sky: nothing reflects, and evenings grow cold."""

EVENINGS = (
    "a harvest supper", "a wedding party", "a benefit night", "a winter ceilidh", "an album launch",
    "a street party moved indoors", "a school reunion", "a club night", "a summer fair", "a birthday dance",
)  # fmt: skip
