"""A gig on a desk as classes of like things, each with its ways, and the stocks they take from."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Iterator
from dataclasses import replace
from functools import partial

from ..gig import Desk, Gig, Policy, most
from ._ways_out import AllWays
from .inputs import takes_talkback_channel
from .routes import at_unity
from .ways import BUS_KINDS, PHANTOM, Problem, Takes, Things, Way


def problem(gig: Gig, desk: Desk, policy: Policy) -> Problem:
    """Everything a gig asks of a desk, as classes of like things with their ways.

    Parameters
    ----------
    gig : Gig
        The gig.
    desk : Desk
        The desk.
    policy : Policy
        For the delay settings.

    Returns
    -------
    Problem
    """
    writer = _Writer(AllWays(gig, desk, policy))
    stocks = writer.ways.stocks
    classes = [
        Things(tuple(paths), tuple(dict.fromkeys(_summed(w) for w in ways())))
        for paths, ways in writer.classes()
    ]
    stocks = {stock: 0.0 for c in classes for w in c.ways for stock, _ in w.takes} | stocks
    given = {stock for c in classes for w in c.ways for stock, amount in w.takes if amount < 0}
    nothing = {
        name for name, amount in stocks.items() if amount == 0 and name not in given and not _has_rows(name)
    }
    usable = [
        replace(c, ways=tuple(w for w in c.ways if not any(s in nothing and a > 0 for s, a in w.takes)))
        for c in classes
    ]
    balances = frozenset(name for name in stocks if name.startswith("sub "))
    return Problem(gig, desk, policy, tuple(usable), stocks, balances)


class _Writer:
    """Gathers like things into classes."""

    def __init__(self, ways: AllWays) -> None:
        self.ways, self.gig, self.desk = ways, ways.gig, ways.desk
        self.groups: dict[Hashable, tuple[list[str], Callable[[], Iterable[Way]]]] = {}

    def classes(self) -> Iterator[tuple[list[str], Callable[[], Iterable[Way]]]]:
        for write in (self.sources, self.mixes, self.effects, self.zones, self.feeds, self.rest):
            write()
        yield from self.groups.values()

    def _add(self, signature: Hashable, paths: list[str], ways: Callable[[], Iterable[Way]]) -> None:
        self.groups.setdefault(signature, ([], ways))[0].extend(paths)

    def sources(self) -> None:
        owners = {
            f"performer.{p.name}.sources.{s.name}": p.name for p in self.gig.performers for s in p.sources
        }
        mixable = self._sub_mixable()
        for path, source in self.gig.sources:
            owner = owners.get(path, "")
            owner = owner if owner in mixable and source.at_mic_level else ""
            signature = ("source", source.width, source.at_mic_level, source.phantom, source.radio, source.keep,
                         self.desk.input_place(source.at), source.heard_in, owner)  # fmt: skip
            self._add(signature, [path] * most(source.count), partial(self.ways.source_ways, source, owner))
        for owner in mixable:
            members = sum(
                most(s.count)
                for p in self.gig.performers
                if p.name == owner
                for s in p.sources
                if s.at_mic_level
            )
            self._add(
                ("sub-mixer", owner),
                [f"performer.{owner}"],
                partial(self.ways.sub_mixer_ways, owner, members),
            )
        if takes_talkback_channel(self.gig, self.desk):
            self._add(("talkback",), ["desk.talkback"], self.ways.talkback_ways)

    def _sub_mixable(self) -> list[str]:
        if not self.gig.kit.sub_mixers:
            return []
        return [
            p.name for p in self.gig.performers if sum(s.channels for s in p.sources if s.at_mic_level) >= 3
        ]

    def mixes(self) -> None:
        for mix in self.gig.own_mixes:
            signature = ("mix", mix.through, mix.width, mix.is_stereo, mix.fed_by, mix.personal_feeds, mix.keep,
                         frozenset(mix.may), self.desk.output_place(mix.at), mix.at)  # fmt: skip
            self._add(signature, [f"mix.{mix.name}"], partial(self.ways.mix_ways, mix))

    def effects(self) -> None:
        for effect in self.gig.effects:
            signature = (
                "effect",
                effect.heard_in == ("mains",),
                effect.heard_in,
                effect.stereo,
                effect.keep,
                effect.by,
            )
            self._add(signature, [f"effect.{effect.name}"], partial(self.ways.effect_ways, effect))

    def zones(self) -> None:
        for zone in self.gig.zones:
            delay = self.ways.delay(zone) if zone.distance_m else 0
            signature = ("zone", zone.width, delay, at_unity(zone), zone.equaliser, zone.fed_from, zone.at, zone.keep,
                         zone.delay_by)  # fmt: skip
            self._add(signature, [f"zone.{zone.name}"], partial(self.ways.zone_ways, zone))

    def feeds(self) -> None:
        for feed in self.gig.feeds:
            each = sum(s.channels for _, s in self.gig.sources) if feed.carries == "each source" else 0
            signature = (
                "feed",
                feed.width,
                feed.own_mix,
                feed.fed_from,
                feed.recorded,
                feed.at,
                feed.keep,
                each,
            )
            self._add(signature, [f"feed.{feed.name}"], partial(self.ways.feed_ways, feed))

    def rest(self) -> None:
        """The mains, always there, and the boxes that may be added."""
        at = self.desk.output_place(self.gig.mains.at)
        takes: Takes = {f"out:{at}": self.gig.mains.width}
        if self.gig.mains.width == 3:
            takes["mono_post"] = 1
        way = Way(tuple(takes.items()), (), (("output", at, self.gig.mains.width),), tap="post")
        self._add(("mains",), ["mains"], lambda: [way])
        for option in self.desk.options:
            self._add(
                ("option", option.name), [f"option.{option.name}"], partial(self.ways.option_ways, option)
            )


def _has_rows(stock: str) -> bool:
    """Buses and phantom have rows of their own."""
    return stock in BUS_KINDS or stock.split(":")[0] in PHANTOM


def _summed(way: Way) -> Way:
    total: dict[str, float] = defaultdict(float)
    for stock, amount in way.takes:
        total[stock] += amount
    return replace(way, takes=tuple(total.items()))
