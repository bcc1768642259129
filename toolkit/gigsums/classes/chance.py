"""What the tutor's secret decides: seeds, pseudonyms and the names of variants. None can be worked back to it."""

from __future__ import annotations

import hmac
import re
import secrets
from hashlib import sha256

WORDS = (
    "alder", "anvil", "apron", "attic", "barley", "basin", "beacon", "bramble", "bridge", "bucket", "candle", "canvas",
    "cedar", "chalk", "cinder", "clover", "cobble", "copper", "cotton", "drift", "ember", "fennel", "ferry", "flint",
    "gable", "gravel", "harbour", "hedge", "island", "kettle", "ladder", "lantern", "lichen", "linen", "locket", "maple",
    "marble", "meadow", "mortar", "nettle", "orchard", "paddle", "pebble", "pepper", "pewter", "quarry", "reed", "ribbon",
    "saddle", "saffron", "shingle", "spindle", "spruce", "tallow", "thimble", "timber", "tinder", "velvet", "walnut",
    "wicker",
)  # fmt: skip
_LETTERS = "23456789ABCDEFGHJKMNPQRSTVWXYZ"
PSEUDONYM = re.compile(r"[a-z]{3,12}-[0-9]{3}")
VARIANT = re.compile(rf"[{_LETTERS}]{{4}}-[{_LETTERS}]{{4}}")
_SECRET = re.compile(r"[0-9a-f]{64}")


class Secret:
    """A secret that only the tutor holds.

    Everything drawn from it is HMAC-SHA256 (RFC 2104, FIPS 198-1) of what it is for. Whoever sees a pseudonym, a
    variant or even a seed cannot work out the others without the secret.

    Parameters
    ----------
    text : str, optional
        64 hexadecimal digits; drawn afresh if left out.

    Raises
    ------
    ValueError
        If the text is anything else.
    """

    def __init__(self, text: str = "") -> None:
        self.text = text or secrets.token_hex(32)
        if not _SECRET.fullmatch(self.text):
            raise ValueError("a secret is 64 hexadecimal digits")
        self._key = bytes.fromhex(self.text)

    def __repr__(self) -> str:
        return "Secret()"

    def _digest(self, *what: str | int) -> bytes:
        return hmac.new(self._key, "\x1f".join(map(str, what)).encode("utf-8"), sha256).digest()

    def seed(self, trainee: str, question: int, again: int = 0) -> str:
        """Seed of one question; the same for everybody where `trainee` is empty."""
        return self._digest("seed", trainee, question, again).hex()

    def level(self, question: int) -> int:
        """Difficulty of a question that the class file leaves open: one for the whole class."""
        return 1 + int.from_bytes(self._digest("level", question), "big") % 3

    def pseudonym(self, number: int, again: int = 0) -> str:
        """A word and a number for the trainee of that number on the list; it says nothing about the name."""
        drawn = int.from_bytes(self._digest("pseudonym", number, again), "big")
        word, rest = drawn % len(WORDS), drawn // len(WORDS)
        return f"{WORDS[word]}-{100 + rest % 900}"

    def variant(self, trainee: str, paper: str, again: int = 0) -> str:
        """Name of one trainee's sheet. `paper` is what is asked of the class; no answer goes into it."""
        drawn = int.from_bytes(self._digest("variant", trainee, paper, again), "big")
        letters = []
        for _ in range(8):
            drawn, letter = divmod(drawn, len(_LETTERS))
            letters.append(_LETTERS[letter])
        return f"{''.join(letters[:4])}-{''.join(letters[4:])}"

    def pseudonyms(self, count: int) -> list[str]:
        """One for each number from 1, all different; more of them later leave the first ones as they are."""
        found: dict[str, None] = {}
        for number in range(1, count + 1):
            again = 0
            while (name := self.pseudonym(number, again)) in found:
                again += 1
            found[name] = None
        return list(found)
