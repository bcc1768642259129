"""Small random gigs and desks: tight enough that every rule decides sometimes."""

from __future__ import annotations

import random
from dataclasses import replace

from gigsums.gig import Desk, Gig, load_policy
from gigsums.gig.desk import AboutDesk, DeskEffects, Inputs, Matrices, MixBuses, Outputs, Recording
from gigsums.gig.model import Distances, Effect, Evening, Feed, Kit, Mix, Performer, Source, Zone


def random_gig(draw: random.Random) -> Gig:
    pick = draw.choice
    sources = [source(draw, n) for n in range(draw.randint(1, 4))]
    mixes = [mix(draw, n) for n in range(pick([0, 1, 2, 2, 3]))]
    heard = [("mains",), ("mains", "player"), *(("mains", m.name) for m in mixes[:2])]
    effects = [
        Effect(f"E{n}", pick(heard), pick([True, True, False]), keep=pick(["must", "must", "nice"]))
        for n in range(pick([0, 0, 1]))
    ]  # fmt: skip
    zones = [zone(draw, n) for n in range(pick([0, 1, 1]))]
    feeds = [feed(draw, n) for n in range(pick([0, 0, 1]))]
    kit = Kit(effects=pick([0, 0, 1]), delays=pick([0, 0, 1]))
    return Gig(
        Evening("Random"), kit=kit, performers=(Performer("player", sources=tuple(sources)),), mixes=tuple(mixes),
        effects=tuple(effects), zones=tuple(zones), feeds=tuple(feeds), policy=load_policy(), talkback=pick([None, None, True]),
    )  # fmt: skip


NAMES = ("Ada", "Bea", "Cy")


def namesakes(draw: random.Random) -> Gig:
    """A small gig in which players, mixes, sources, zones and whoever is left out of a feed go by the same few names."""
    pick = draw.choice
    asked = random_gig(draw)
    performers = []
    for name in NAMES[: pick([2, 3])]:
        called = draw.sample(("Voice", "Kick", "Kick (2)", *NAMES), pick([1, 1, 2]))
        sources = tuple(replace(source(draw, 0), name=n, count=pick([1, 1, 1, 2, 3])) for n in called)
        performers.append(Performer(name, sources=sources))
    may = pick([("share",), ("mono", "share"), ()])
    mixes = tuple(
        replace(mix(draw, 0), name=n, listeners=(pick(performers).name,), keep=pick(["must", "want", "nice"]), may=may, sub_send=False)
        for n in draw.sample(NAMES, pick([1, 2, 3]))
    )  # fmt: skip
    zones = tuple(replace(z, name=pick(["Foyer", "Ada"]), keep=pick(["must", "want"])) for z in asked.zones)
    places = sorted({p.name for p in performers} | {m.name for m in mixes} | {z.name for z in zones})
    heard = ("mains", *draw.sample(places, pick([0, 1, 1, 2])))
    effects = tuple(replace(e, heard_in=heard) for e in asked.effects)
    without = pick([(), ("Ada",), ("Bea",)])
    feeds = tuple(replace(f, without=without, fed_from=None if without else f.fed_from) for f in asked.feeds)
    kit = Kit(
        effects=pick([0, 1]), delays=1, preamps=pick([0, 2]), sub_mixers=pick([0, 1]), phantom_blockers=1
    )
    return replace(
        asked, performers=tuple(performers), mixes=mixes, zones=zones, effects=effects, feeds=feeds, kit=kit
    )


def source(draw: random.Random, n: int) -> Source:
    pick = draw.choice
    by = pick(["mic", "mic", "DI", "line", "line"])
    return Source(
        f"S{n}", by, stereo=pick([False, False, True]), at=pick(["stage", "stage", "desk"]),
        phantom=pick(["indifferent", "needed", "needed", "forbidden", "forbidden"]) if by == "mic" else "indifferent",
        radio=by == "mic" and pick([True, False, False]), keep=pick(["must", "must", "must", "want", "nice"]),
        heard_in=pick([None, ("mains",)]) if by == "line" else None,
    )  # fmt: skip


def mix(draw: random.Random, n: int) -> Mix:
    pick = draw.choice
    through = pick(["wedge", "in-ears", "in-ears", "drum fill"])
    may = tuple(w for w in ("mono", "share") if draw.random() < 0.3)
    return Mix(f"M{n}", ("player",), through, sub_send=through == "drum fill" and "share" not in may and pick([True, False]),
               may=may, keep=pick(["must", "must", "must", "want"]))  # fmt: skip


def zone(draw: random.Random, n: int) -> Zone:
    pick = draw.choice
    far = pick([None, None, Distances(20, 5), Distances(60, 5)])
    own_level = pick([True, False])
    insists = pick(["any", "matrix", "bus", "bus", "any" if far or own_level else "group"])
    return Zone(f"Z{n}", far, stereo=pick([False, False, True]), own_level=own_level, equaliser=pick([True, False]),
                fed_from=insists, at=pick(["stage", "desk"]))  # fmt: skip


def feed(draw: random.Random, n: int) -> Feed:
    pick = draw.choice
    without = pick([(), (), ("player",)])
    return Feed(f"F{n}", without=without, stereo=pick([True, False]), recorded=pick([True, False]),
                fed_from=None if without else pick([None, None, "matrix"]), keep=pick(["must", "must", "want"]))  # fmt: skip


def random_desk(draw: random.Random) -> Desk:
    pick = draw.choice
    kind = pick(["analogue", "digital", "digital"])
    box = kind == "digital" and pick([True, True, False])
    inputs = [inputs_at(draw, "desk", kind)] + ([inputs_at(draw, "stage", kind)] if box else [])
    outputs = [
        Outputs("desk", pick([4, 5, 6, 8, 10]), pick([0, 0, 2]), delay_up_to_ms=pick([0, 100.0, 500.0]))
    ]
    outputs += [Outputs("stage", pick([3, 4, 6, 9]), delay_up_to_ms=pick([0, 500.0]))] if box else []
    runs, buses = [], 0
    while buses < 8 and draw.random() < 0.82:
        tap = pick(["each", "pair", "all", "always pre", "always post"])
        count = 2 if tap == "pair" else pick([1, 2, 3])
        if tap == "pair" and buses % 2:
            continue
        group = tap == "always post" and pick([True, False])
        runs.append(
            MixBuses(count, tap, pick(["odd with next even", "odd with next even", "none"]), "group" if group else "aux",
                     pick([False, False, True]) and not group)
        )  # fmt: skip
        buses += count
    effects = DeskEffects(
        pick([0, 1, 1]) if runs else 0, pick(["own", "takes a bus"]), pick(["dedicated", "takes two channels", "takes a channel"]),
        pick(["everything", "mains"]),
    )  # fmt: skip
    about = AboutDesk("D", kind, channels=pick([None, 3, 4, 5, 6, 12]) if kind == "digital" else None,
                  stereo=pick(["takes one channel", "takes two channels"]) if kind == "digital" else None,
                  talkback=pick(["own input", "takes a channel", "none"]))  # fmt: skip
    return Desk(about, tuple(inputs), tuple(outputs), tuple(runs), Matrices(pick([0, 1, 2])), effects,
                Recording(pick([0, 0, 2]), pick(["mains", "channels"])))  # fmt: skip


def inputs_at(draw: random.Random, at: str, kind: str) -> Inputs:
    pick = draw.choice
    analogue = kind == "analogue"
    return Inputs(at, pick([2, 3, 4, 5, 6]), pick([0, 1]) if analogue else 0, pick([0, 1, 2]) if analogue else 0,
                  pick([0, 0, 1]), phantom=pick(["each", "each", "bank", "bank", "all", "all", "none"]), bank_of=2)  # fmt: skip
