"""An allocator that tries everything: slow, simple, and nothing to do with the programme it checks.

`feasible` asks whether a gig as it stands can be placed; `cheapest` tries every set of changes, cheapest first.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import product

from gigsums.gig import Desk, Gig, most
from gigsums.sizing.ledgers import at_unity, zone_delay_ms

# ---- Can this gig, as it stands, be placed? ------------------------------------------------------------


def feasible(gig: Gig, desk: Desk) -> bool:
    if sum(e.by == "unit" for e in gig.effects) > gig.kit.effects:
        return False
    if sum(e.by == "desk" for e in gig.effects) > desk.effects.count:
        return False
    if (
        sum(z.width for z in gig.zones if z.distance_m and z.wants_own_path and z.delay_by == "unit")
        > gig.kit.delays
    ):
        return False
    zones = [z for z in gig.zones if z.wants_own_path]
    for ways in product(*[zone_ways(z) for z in zones], *[feed_ways(f, desk) for f in gig.feeds]):
        if carried(
            gig,
            desk,
            list(zip(zones, ways, strict=False)),
            list(zip(gig.feeds, ways[len(zones) :], strict=True)),
        ):
            return True
    return False


def zone_ways(zone):
    if zone.fed_from in ("matrix", "group", "bus"):
        return [zone.fed_from]
    return ["matrix", "bus", "group"] if at_unity(zone) else ["matrix", "bus"]


def feed_ways(feed, desk):
    if feed.own_mix:
        return ["bus"]
    if feed.fed_from == "matrix":
        return ["matrix"]
    inside = ["track"] if feed.recorded and desk.recording.tracks else []
    return [*inside, "record", *(["mains"] if desk.digital else []), "matrix", "bus", "group"]


def carried(gig: Gig, desk: Desk, zones, feeds) -> bool:
    """With every zone's and feed's way chosen: do the counts come out, and are there inputs and buses?"""
    used, out, buses = Counter(), Counter(), []
    for thing, way in (*zones, *feeds):
        used[way] += thing.width
        if way == "bus":
            buses.append(("stereo", "post") if thing.width == 2 else ("mono", "post"))
        if way == "record":
            used["record", desk.output_place(thing.at)] += thing.width
        elif way != "track":
            out[desk.output_place(thing.at)] += thing.width
    if used["matrix"] > desk.matrices.count or used["track"] > desk.recording.tracks:
        return False
    if used["group"] > sum(b.kind == "group" for b in desk.buses()):
        return False
    if any(
        used["record", at] > sum(o.record for o in desk.outputs if o.at == at) for at in ("desk", "stage")
    ):
        return False
    for zone, _ in zones:
        if zone.distance_m and zone.delay_by == "desk":
            reach = max(
                (o.delay_up_to_ms for o in desk.outputs if o.at == desk.output_place(zone.at)), default=0
            )
            if reach < zone_delay_ms(zone, gig, gig.policy):
                return False
    for mix in gig.mixes:
        out[desk.output_place(mix.at)] += mix.width
        buses += [("stereo", "pre")] if mix.is_stereo else [("mono", "pre")] * mix.width
    out[desk.output_place(gig.mains.at)] += gig.mains.width
    returns, channels = [], 0
    for effect in gig.effects:
        reaches = desk.effects.return_to == "everything" or effect.heard_in == ("mains",)
        if effect.by == "unit":
            buses.append(("mono", "post"))
            out[desk.output_place("desk")] += 1
            returns.append(effect.width)
            channels += desk.stereo_takes if effect.stereo else 1
            continue
        if desk.effects.send != "own":
            buses.append(("mono", "send"))
        if desk.effects.returns != "dedicated" or not reaches:
            if desk.digital:
                taken = {"takes two channels": 2, "takes a channel": 1}.get(
                    desk.effects.returns, desk.stereo_takes
                )
                channels += min(effect.width, taken)
            else:
                returns.append(effect.width)
    if any(out[at] > sum(o.line for o in desk.outputs if o.at == at) for at in out):
        return False
    return some_buses(buses, list(desk.buses()), {}) and some_inputs(gig, desk, returns, channels)


def some_buses(wanted, buses, load) -> bool:
    if not wanted:
        return taps_agree(load)
    (width, tap), rest = wanted[0], wanted[1:]
    restricted = any(b.feeds_effects for b in buses)
    for bus in buses:
        both = [bus] if width == "mono" else [bus, *(b for b in buses if b.number == bus.number + 1)]
        if width == "stereo" and (len(both) < 2 or bus.number % 2 == 0 or not all(b.links_up for b in both)):
            continue
        if any(b in load or b.kind == "group" for b in both):
            continue
        fixed = tap == "pre" and any(
            b.tap == "always post" for b in both
        )  # then the whole mix is after the fader
        if tap == "send" and restricted and not bus.feeds_effects:
            continue
        if some_buses(rest, buses, {**load, **dict.fromkeys(both, "post" if fixed else tap)}):
            return True
    return False


def taps_agree(load) -> bool:
    together: dict = {}
    for bus, tap in load.items():
        if bus.tap == "always pre" and tap != "pre":
            return False
        key = {"pair": ("pair", (bus.number + 1) // 2), "all": ("all", bus.run)}.get(bus.tap)
        if key and together.setdefault(key, tap == "pre") != (tap == "pre"):
            return False
    return True


def some_inputs(gig: Gig, desk: Desk, returns, channels: int) -> bool:
    sockets = []
    for at in ("stage", "desk"):
        for n, i in enumerate(i for i in desk.inputs if i.at == at):
            size = {"all": i.mic, "bank": i.bank_of}.get(i.phantom, 1)
            sockets += [(at, "mic", (at, n, k // max(1, size)), i.phantom) for k in range(i.mic)]
            sockets += [(at, "line", k, "") for k in range(i.line)] + [
                (at, "stereo", k, "") for k in range(i.stereo)
            ]
            sockets += [(at, "two track", k, "") for k in range(i.two_track)]
    units = []
    for _, s in gig.sources:
        at = desk.input_place(s.at)
        only_mains = s.heard_in is not None and set(s.heard_in) <= {"mains"}
        if s.at_mic_level:
            units += [(at, "mic", s.phantom, False)] * s.channels
        else:
            units += [(at, "stereo line" if s.stereo else "mono line", "", only_mains)] * most(s.count)
    desk_at = desk.input_place("desk")
    units += [(desk_at, "stereo return" if width == 2 else "mono return", "", False) for width in returns]
    if gig.wants_talkback and desk.about.talkback != "own input":
        units.append((desk_at, "mic", "indifferent", False))
        channels += 1
    if desk.digital:
        channels += sum(most(s.count) * (desk.stereo_takes if s.stereo else 1) for _, s in gig.sources)
    return place_inputs(sorted(units), sockets, [], desk, channels)


def place_inputs(units, free, used, desk: Desk, channels: int) -> bool:
    """Put the first unit on each socket it may have, in turn, and the rest after it."""
    if not units:
        if desk.digital:
            two_track = sum(unit[1] == "stereo line" and s[1] == "two track" for unit, s in used)
            return phantom_agrees(used) and channels - two_track * desk.stereo_takes <= desk.channels
        return phantom_agrees(used) and sum(s[1] != "two track" for _, s in used) <= desk.channels
    (at, kind, _, only_mains), tried = units[0], set()
    for n, socket in enumerate(free):
        if socket[0] != at or socket in tried:
            continue
        tried.add(socket)
        left = free[:n] + free[n + 1 :]
        single = socket[1] == "mic" or (socket[1] == "line" and kind.endswith("line"))
        if kind in ("stereo line", "stereo return") and single:
            again = (
                [(at, "half", "", False), *units[1:]]
                if kind == "stereo line"
                else [(at, "half return", "", False), *units[1:]]
            )
            if place_inputs(again, left, [*used, (units[0], socket)], desk, channels):
                return True
            continue
        allowed = {
            "mic": socket[1] == "mic",
            "half": socket[1] in ("mic", "line"),
            "half return": socket[1] == "mic",
            "mono return": socket[1] in ("mic", "stereo"),
            "mono line": socket[1] in ("mic", "line", "stereo"),
            "stereo return": socket[1] == "stereo",
            "stereo line": socket[1] == "stereo" or (socket[1] == "two track" and only_mains),
        }[kind]
        if allowed and place_inputs(units[1:], left, [*used, (units[0], socket)], desk, channels):
            return True
    return False


def phantom_agrees(used) -> bool:
    needs = {s[2] for u, s in used if u[1] == "mic" and u[2] == "needed"}
    if any(s[3] == "none" for u, s in used if u[1] == "mic" and u[2] == "needed"):
        return False
    return not any(
        s[2] in needs and s[3] in ("bank", "all") for u, s in used if u[1] == "mic" and u[2] == "forbidden"
    )


# ---- The cheapest set of changes, by trying them all ----------------------------------------------------


def cheapest(gig: Gig, desk: Desk) -> int | None:
    """Points of the cheapest set of changes that makes it feasible, or None. Cheapest sets are tried first."""
    options = [*source_options(gig, desk), *mix_options(gig, desk), *effect_options(gig), *zone_options(gig, desk),
               *feed_options(gig, desk)]  # fmt: skip
    sets = sorted(product(*options), key=lambda chosen: sum(points for points, _ in chosen))
    for chosen in sets:
        changed = apply([edit for _, edit in chosen], gig)
        if changed is not None and feasible(changed, desk):
            return sum(points for points, _ in chosen)
    return None


def apply(edits, gig: Gig) -> Gig | None:
    kinds: dict[str, list] = {"source": [], "mix": [], "effect": [], "zone": [], "feed": []}
    merged = []
    for kind, thing in edits:
        if kind == "share":
            merged.append(thing)
        elif thing is not None:
            kinds[kind].append(thing)
    for mix in merged:
        hosts = [
            m
            for m in kinds["mix"]
            if "share" in m.may and (m.through, m.at_first) == (mix.through, mix.at_first)
        ]
        if not any(h.is_stereo or not mix.is_stereo for h in hosts):
            return None
    mixes = tuple(m.mix for m in kinds["mix"])
    gone = {m.name for m in gig.mixes} - {m.mix.name for m in (*kinds["mix"], *merged)}
    effects = tuple(
        replace(e, heard_in=tuple(n for n in e.heard_in if n not in gone)) for e in kinds["effect"]
    )
    performer = replace(gig.performers[0], sources=tuple(kinds["source"]))
    return replace(gig, performers=(performer,), lines=(), mixes=mixes, effects=effects,
                   zones=tuple(kinds["zone"]), feeds=tuple(kinds["feed"]), talkback=gig.wants_talkback)  # fmt: skip


class Marked:
    """A mix that remembers where it stood."""

    def __init__(self, mix, at_first) -> None:
        self.mix, self.at_first = mix, at_first
        self.may, self.through, self.is_stereo = mix.may, mix.through, mix.is_stereo


def price(gig: Gig, *kinds: str) -> int:
    return sum(getattr(gig.policy.changes, kind).points for kind in kinds)


def elsewhere(home: str, places) -> list[tuple[str, tuple[str, ...]]]:
    return [(home, ()), *((at, ("relocate",)) for at in sorted(set(places) - {home}))]


def dropped(gig: Gig, thing, kind: str) -> list:
    return [] if thing.keep == "must" else [(price(gig, f"drop_{thing.keep}"), (kind, None))]


def source_options(gig: Gig, desk: Desk) -> list:
    found = []
    for _, s in gig.sources:
        options = dropped(gig, s, "source")
        for at, moved in elsewhere(desk.input_place(s.at), [i.at for i in desk.inputs]):
            here = replace(s, at=at)
            options.append((price(gig, *moved), ("source", here)))
            if s.at_mic_level and s.radio:
                line = replace(here, level="line", phantom="indifferent")
                options.append((price(gig, *moved, "line_level"), ("source", line)))
        found.append(options)
    return found


def mix_options(gig: Gig, desk: Desk) -> list:
    found = []
    for m in gig.mixes:
        options = dropped(gig, m, "mix")
        widths = [
            (m, ()),
            *([(replace(m, stereo=False), ("mono",))] if m.is_stereo and "mono" in m.may else []),
        ]
        for mix, narrowed in widths:
            for at, moved in elsewhere(desk.output_place(m.at), [o.at for o in desk.outputs]):
                options.append((price(gig, *narrowed, *moved), ("mix", Marked(replace(mix, at=at), m.at))))
            if "share" in m.may:
                options.append((price(gig, *narrowed, "share"), ("share", Marked(mix, m.at))))
        found.append(options)
    return found


def effect_options(gig: Gig) -> list:
    found = []
    for e in gig.effects:
        unit = [(price(gig, "outboard_effect"), ("effect", replace(e, by="unit")))] if e.by == "desk" else []
        found.append([(0, ("effect", e)), *unit, *dropped(gig, e, "effect")])
    return found


def zone_options(gig: Gig, desk: Desk) -> list:
    found = []
    for z in gig.zones:
        options = dropped(gig, z, "zone") if z.wants_own_path else []
        rerouted = [(z, ())]
        if z.fed_from in ("bus", "group", "matrix"):
            for other in {"bus", "matrix", *(["group"] if at_unity(z) else [])} - {z.fed_from}:
                rerouted.append((replace(z, fed_from=other), ("reroute",)))
            if at_unity(z) and not z.equaliser:
                rerouted.append((replace(z, fed_from="mains"), ("reroute",)))
        for zone, turned in rerouted:
            for at, moved in elsewhere(desk.output_place(z.at), [o.at for o in desk.outputs]):
                here = replace(zone, at=at)
                options.append((price(gig, *turned, *moved), ("zone", here)))
                if z.distance_m and z.delay_by == "desk":
                    unit = replace(here, delay_by="unit")
                    options.append((price(gig, *turned, *moved, "outboard_delay"), ("zone", unit)))
        found.append(options)
    return found


def feed_options(gig: Gig, desk: Desk) -> list:
    found = []
    for f in gig.feeds:
        options = dropped(gig, f, "feed")
        rerouted = [(f, ())]
        if f.fed_from == "matrix" and not f.own_mix:
            rerouted.append((replace(f, fed_from=None, recorded=False), ("reroute",)))
        for feed, turned in rerouted:
            for at, moved in elsewhere(desk.output_place(f.at), [o.at for o in desk.outputs]):
                options.append((price(gig, *turned, *moved), ("feed", replace(feed, at=at))))
        found.append(options)
    return found
