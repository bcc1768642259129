"""One change: what to do, what it costs by the house policy, and what somebody loses by it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

from ..gig import Policy

_SAID = {
    "reroute": "feed {name} from {to}",
    "relocate": "plug {name} at the {to}",
    "drop nice": "leave out {name} (nice to have)",
    "drop want": "leave out {name} (wanted)",
    "mono": "make the mix {name} mono",
    "share": "let {name} share the mix {to}",
    "line level": "set the receiver of {name} to line level",
    "phantom blocker": "put a phantom blocker on {name}",
    "outboard preamp": "take an outboard preamp for {name}",
    "outboard delay": "take an outboard delay for {name}",
    "outboard effect": "take an outboard unit for {name}",
    "sub-mixer": "sub-mix {name} into one stereo line",
    "stage box": "add the {to}",
    "another desk": "take {to} instead",
}
_FROM = {"mains": "the mains", "bus": "a bus", "matrix": "a matrix", "group": "a group"}
_LOST = {
    "reroute": "its own level and tone",
    "drop nice": "it is not heard",
    "drop want": "it is not heard",
    "mono": "the left and right of what they hear",
    "share": "a balance of their own",
    "line level": "its gain is set at the receiver, not at the desk",
    "outboard preamp": "its gain is set at the preamp, not at the desk",
    "sub-mixer": "a monitor send, tone and mute for each of them",
}


@dataclass(frozen=True)
class Change:
    """One change that helps a gig onto a desk.

    Parameters
    ----------
    kind : str
        ``"reroute"``, ``"relocate"``, ``"mono"``, ``"share"`` and so on.
    item : str
        Key path of what is changed.
    to : str
        Where or whose, where the kind asks for it.
    points : int
        Its cost by the house policy [points].
    money, weight_kg, minutes : float
        What it takes besides: money, weight to carry [kg], set-up time [min].
    """

    kind: str
    item: str
    to: str
    points: int
    money: float
    weight_kg: float
    minutes: float

    @property
    def name(self) -> str:
        """The changed thing's own name."""
        kind, _, name = self.item.partition(".")
        return (name.partition(".sources.")[2] or name if kind == "performer" else name) or kind

    @property
    def loses(self) -> str:
        """What the musicians or the audience lose; empty where nothing."""
        return _LOST.get(self.kind, "")

    def text(self) -> str:
        """What to do, in words."""
        return _SAID[self.kind].format(
            name=self.name, to=_FROM.get(self.to, self.to) if self.kind == "reroute" else self.to
        )

    def as_json(self) -> dict[str, Any]:
        """Plain values for JSON.

        Returns
        -------
        dict
        """
        return asdict(self) | {"loses": self.loses, "text": self.text()}


def together(changes: Sequence[Change]) -> list[tuple[Change, str]]:
    """Changes that are alike as one: each with what to do in words, and to how many where there are several.

    Parameters
    ----------
    changes : sequence of Change
        Changes in any order.

    Returns
    -------
    list of (Change, str)
        One of each kind with the sums of all alike, in the order of the first.
    """
    found = []
    for change, times in Counter(changes).items():
        sums = {key: times * getattr(change, key) for key in ("points", "money", "weight_kg", "minutes")}
        words = change.text() if times == 1 else f"{change.text()}, {times} of them"
        found.append((replace(change, **sums), words))
    return found


def price(policy: Policy, kind: str, item: str, to: str) -> Change:
    """A change at the house policy's price.

    Parameters
    ----------
    policy : Policy
        The prices.
    kind, item, to : str
        What kind of change, to what, and where or whose.

    Returns
    -------
    Change
    """
    cost = policy.changes.price(kind)
    return Change(kind, item, to, cost.points, cost.money, cost.weight_kg, cost.minutes)
