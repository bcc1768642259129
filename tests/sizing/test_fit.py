"""The exact answer against trying everything, against the judge, and against itself under harmless changes."""

from __future__ import annotations

import random
import sys
from collections import Counter
from dataclasses import replace

import pytest

from gigs import desk, gig, singers
from gigsums.formulas.timing import fill_delay_ms
from gigsums.gig import BadFile, Reason, load_desk, load_gig, load_policy
from gigsums.sizing import Judgement, check_placement, fit, smallest_changes
from gigsums.sizing.placing import Solution, solve
from gigsums.sizing.ways import ways_of

from .brute_force import cheapest
from .random_gigs import random_desk, random_gig


def answer(gig, desk) -> Solution:
    return solve(ways_of(gig, desk, gig.policy))


def agree(seed: int) -> tuple[str, list[str]]:
    """One random gig on one random desk: the verdict and the short ledgers, once everybody agrees; `fit` asks the judge."""
    draw = random.Random(f"small gig {seed}")
    asked, on = random_gig(draw), random_desk(draw)
    found, tried = answer(asked, on), cheapest(asked, on)
    assert found.outcome in ("best", "none")
    assert (found.points if found.outcome == "best" else None) == tried, f"seed {seed}"
    it = fit(asked, on)
    assert it.placement == {None: "does not fit", 0: "fits"}.get(tried, "fits with changes")
    return it.placement, sorted({row.key for row in it.ledgers if row.blocks and row.state == "short"})


@pytest.mark.parametrize("seed", range(100))
def test_the_exact_answer_is_the_one_that_trying_everything_finds(seed):
    agree(seed)


RULES = {
    "talkback takes a channel": lambda g, d: (replace(g, talkback=False), d),
    "phantom harms some sources": lambda g, d: (each_source(g, phantom="indifferent"), d),
    "stereo takes two": lambda g, d: (each_source(g, stereo=False), d),
    "sources stay in their place": lambda g, d: (each_source(g, at="desk"), merged(d)),
    "taps are switched in common or fixed": lambda g, d: (g, each_bus(d, tap="each")),
    "stereo takes an odd-even pair": lambda g, d: (replace(g, mixes=tuple(replace(m, stereo=False) for m in g.mixes)), d),
    "groups carry no monitors": lambda g, d: (g, each_bus(d, kind="aux", tap="each")),
    "an effect takes a bus": lambda g, d: (g, replace(d, effects=replace(d.effects, send="own", count=max(1, d.effects.count)))),
    "an effects return takes channels": lambda g, d: (g, replace(d, effects=replace(d.effects, returns="dedicated", return_to="everything", count=max(1, d.effects.count)))),
    "a delay must reach": lambda g, d: (g, replace(d, outputs=tuple(replace(o, delay_up_to_ms=1000.0) for o in d.outputs))),
    "outputs are finite": lambda g, d: (g, replace(d, outputs=tuple(replace(o, line=60) for o in d.outputs))),
    "channels are finite": lambda g, d: (g, replace(d, about=replace(d.about, channels=200))),
    "matrices are finite": lambda g, d: (g, replace(d, matrices=replace(d.matrices, count=20))),
}  # fmt: skip


def each_source(gig, **what):
    sources = tuple(replace(s, **what) for s in gig.performers[0].sources)
    return replace(gig, performers=(replace(gig.performers[0], sources=sources),))


def each_bus(desk, **what):
    return replace(desk, mix_buses=tuple(replace(b, **what) for b in desk.mix_buses))


def merged(desk):
    return replace(desk, inputs=tuple(replace(i, at="desk") for i in desk.inputs))


@pytest.mark.thorough
def test_two_thousand_random_gigs_agree_and_every_rule_decides_some():
    """Each verdict is at least 15 % of them; lifting each rule changes the answer at least 50 times."""
    verdicts: Counter[str] = Counter()
    binding: Counter[str] = Counter()
    for seed in range(2000):
        verdict, _ = agree(seed)
        verdicts[verdict] += 1
        draw = random.Random(f"small gig {seed}")
        gig, desk = random_gig(draw), random_desk(draw)
        with_rule = answer(gig, desk)
        for rule, lift in RULES.items():
            eased, on = lift(gig, desk)
            without = answer(eased, on)
            binding[rule] += (with_rule.outcome, with_rule.points) != (without.outcome, without.points)
    print(dict(verdicts), dict(binding))
    assert min(verdicts[v] for v in ("fits", "fits with changes", "does not fit")) >= 300
    assert min(binding[rule] for rule in RULES) >= 50, binding


ROAD = [("lantern_night", "desk_b"), ("lantern_night", "desk_d"), ("tea_room_solo", "desk_a"), ("parish_meeting", "desk_a"),
        ("undercroft_five_piece", "desk_b"), ("hybrid_assembly", "desk_d")]  # fmt: skip


@pytest.mark.parametrize(("gig", "desk"), ROAD)
def test_the_judge_accepts_every_placement_of_a_worked_gig(gig, desk):
    for answer in smallest_changes(load_gig(gig), load_desk(desk)):
        assert check_placement(answer.gig, answer.desk, answer.places).legal


@pytest.mark.parametrize("seed", range(40))
def test_a_socket_more_never_makes_a_fitting_gig_unfit(seed):
    draw = random.Random(f"monotone {seed}")
    gig, desk = random_gig(draw), random_desk(draw)
    before = answer(gig, desk)
    at = draw.randrange(len(desk.inputs))
    inputs = tuple(replace(i, mic=i.mic + 1) if n == at else i for n, i in enumerate(desk.inputs))
    outputs = tuple(replace(o, line=o.line + 1) for o in desk.outputs)
    for more in (
        replace(desk, inputs=inputs),
        replace(desk, outputs=outputs),
        replace(desk, matrices=replace(desk.matrices, count=desk.matrices.count + 1)),
    ):
        after = answer(gig, more)
        if before.outcome == "best":
            assert after.outcome == "best"
            assert after.points <= before.points


@pytest.mark.parametrize("seed", range(40))
def test_renaming_and_reordering_change_no_verdict_cost_or_count(seed):
    draw = random.Random(f"renamed {seed}")
    gig, desk = random_gig(draw), random_desk(draw)
    player = gig.performers[0]
    sources = tuple(replace(s, name=f"x{s.name}") for s in reversed(player.sources))
    other = replace(
        gig,
        performers=(replace(player, sources=sources),),
        mixes=tuple(replace(m, name=f"y{m.name}") for m in reversed(gig.mixes)),
    )
    one, two = fit(gig, desk), fit(other, desk)
    assert one.placement == two.placement
    assert sum(c.points for c in one.changes) == sum(c.points for c in two.changes)
    assert Counter(c.kind for c in one.changes) == Counter(c.kind for c in two.changes)
    assert [(r.label, r.need, r.have) for r in one.ledgers] == [
        (r.label, r.need, r.have) for r in two.ledgers
    ]


def test_no_later_answer_contains_an_earlier_one():
    answers = smallest_changes(load_gig("lantern_night"), load_desk("desk_b"), [load_desk("desk_d")])
    assert len(answers) == 3
    assert all(answer.proven for answer in answers)
    assert [a.points for a in answers] == sorted(a.points for a in answers)
    said = [Counter(c.text() for c in a.changes) for a in answers]
    for n, earlier in enumerate(said):
        assert not any(earlier <= later for later in said[n + 1 :])


def test_a_gig_that_fits_has_one_answer_with_no_change():
    (answer,) = smallest_changes(load_gig("lantern_night"), load_desk("desk_d"))
    assert answer.points == 0
    assert answer.changes == ()


def test_another_desk_at_hand_is_an_answer_at_its_price():
    answers = smallest_changes(load_gig("lantern_night"), load_desk("desk_c"), [load_desk("desk_d")])
    assert [c.text() for c in answers[0].changes] == ["take Desk D instead"]
    assert answers[0].points == load_gig("lantern_night").policy.changes.another_desk.points


SHORT_OF_PREAMPS = """
[[performer]]
name = "Band"
sources = [
  { name = "Drums", by = "mic", count = 6 }, { name = "Pack", by = "mic", radio = true, keep = "%s" },
]
"""


@pytest.mark.parametrize(
    ("extra", "inputs", "expected"),
    [
        ("", "mic = 6\nstereo = 1", ["set the receiver of Pack to line level"]),
        ("", "mic = 6", None),
        ("[kit]\npreamps = 4\n", "mic = 4\nstereo = 3", ["set the receiver of Pack to line level", "take an outboard preamp for Drums", "take an outboard preamp for Drums"]),
        ("[kit]\nsub_mixers = 1\n", "mic = 2\nstereo = 1", ["sub-mix Band into one stereo line"]),
    ],
)  # fmt: skip
def test_what_is_at_hand_is_used_in_order_of_its_price(extra, inputs, expected):
    on = desk(about='kind = "analogue"\ntalkback = "own input"', inputs=inputs)
    it = fit(gig(extra + SHORT_OF_PREAMPS % "must"), on)
    assert sorted(c.text() for c in it.changes) == (expected or [])
    assert it.placement == ("fits with changes" if expected else "does not fit")


@pytest.mark.parametrize(
    ("keep", "placement"),
    [("must", "does not fit"), ("want", "fits with changes"), ("nice", "fits with changes")],
)
def test_only_what_may_be_dropped_is_dropped(keep, placement):
    it = fit(gig(SHORT_OF_PREAMPS % keep), desk(inputs="mic = 6"))
    assert it.placement == placement
    assert all(c.kind == f"drop {keep}" for c in it.changes)


@pytest.mark.parametrize(
    ("may", "buses", "placement", "kinds"),
    [
        ("", 3, "does not fit", []),
        ('may = ["mono"]', 3, "fits with changes", ["mono"]),
        ('may = ["mono"]', 2, "fits with changes", ["mono", "mono"]),
        ('may = ["share"]', 2, "fits with changes", ["share"]),
        ('may = ["mono", "share"]', 1, "fits with changes", ["mono", "mono", "share"]),
    ],
)
def test_mono_and_sharing_need_the_musicians_leave(may, buses, placement, kinds):
    """A shared mix is as wide as its widest listener asked, so a mono one is asked of both: two give up stereo."""
    text = singers(2, f'through = "in-ears"\n{may}')
    it = fit(gig(text), desk(f"[[mix_buses]]\ncount = {buses}\n"))
    assert it.placement == placement
    assert sorted(c.kind for c in it.changes) == kinds


def test_a_box_that_may_be_added_is_added_when_nothing_cheaper_helps():
    text = singers(6)
    it = fit(gig(text), desk('[[option]]\nname = "Box"\nat = "desk"\nmic = 4\n', inputs="mic = 4"))
    assert [c.text() for c in it.changes] == ["add the Box"]


def test_prices_come_from_the_house_policy():
    text = singers(2, 'through = "in-ears"\nmay = ["mono", "share"]')
    dear = "[policy.changes]\nmono = { points = 50, money = 0, weight_kg = 0, minutes = 0 }\n"
    on = desk("[[mix_buses]]\ncount = 3\n")
    assert [c.kind for c in fit(gig(text), on).changes] == ["mono"]
    assert [c.kind for c in fit(gig(dear + text), on).changes] == ["share"]


@pytest.mark.parametrize("points", ["0", "-3", "1.5"])
def test_a_price_must_be_whole_and_more_than_nothing(points):
    with pytest.raises(BadFile, match=r"policy\.changes\.mono\.points"):
        gig(f"[policy.changes]\nmono = {{ points = {points}, money = 0, weight_kg = 0, minutes = 0 }}\n")


def test_a_delay_that_just_reaches_is_enough():
    """The desk gives to the last digit what 20 m and 5 m ask for in the coldest air."""
    cold = load_policy().delay
    exact = float(fill_delay_ms(20, 5, cold.coldest_c, cold.offset_ms))
    zone = '[[zone]]\nname = "Z"\ndistance_m = { main = 20, own = 5 }\n'
    on = desk("[[mix_buses]]\ncount = 2\n", outputs=f"line = 8\ndelay_up_to_ms = {exact!r}")
    it = fit(gig(zone), on)
    assert it.placement == "fits"
    assert [p.item for p in it.places if p.on == "output"].count("zone.Z") == 1
    assert smallest_changes(gig(zone), on)[0].points == 0


def test_both_halves_of_a_stereo_mix_share_a_tap():
    """Desk A: auxes 1 and 2 before the fader, 3 either way, 4 after it; so the second pair of ears is after it, with care."""
    asked, on = gig(singers(2, 'through = "in-ears"')), load_desk("desk_a")
    it = fit(asked, on)
    taps = {
        name: [p.tap for p in it.places if p.item == f"mix.{name}" and p.on == "bus"] for name in ("M0", "M1")
    }
    assert sorted(taps.values()) == [["post", "post"], ["pre", "pre"]]
    assert sum("follows every fader move" in care.rule for care in it.cares) == 1
    assert it.ledger("bus pairs").state == "met"


def test_a_return_comes_back_by_itself_once_nobody_but_the_mains_hears_the_effect():
    """Three microphones on three inputs: with the guest's wedge gone the reverb needs no input, so nothing else goes."""
    text = singers(3) + '[[mix]]\nname = "Guest"\nfor = ["P0"]\nkeep = "nice"\n'
    text += '[[effect]]\nname = "Hall"\nheard_in = ["mains", "Guest"]\nkeep = "nice"\n'
    more = '[[mix_buses]]\ncount = 4\n[effects]\ncount = 1\nsend = "own"\nreturn_to = "mains"\n'
    on = desk(more, about='kind = "analogue"\ntalkback = "own input"', inputs="mic = 3")
    asked = gig(
        text.replace(
            '"Hall"\nheard_in = ["mains", "Guest"]\nkeep = "nice"', '"Hall"\nheard_in = ["mains", "Guest"]'
        )
    )
    assert [(c.kind, c.item) for c in fit(asked, on).changes] == [("drop nice", "mix.Guest")]
    least = smallest_changes(gig(text), on)
    assert {tuple(c.item for c in answer.changes) for answer in least} == {("mix.Guest",), ("effect.Hall",)}


def test_a_return_that_needs_no_input_is_given_none_at_whatever_cost():
    """No bus for the guest, so the wedge goes; the reverb may then not come back by an input, were that all there is."""
    text = singers(1) + '[[mix]]\nname = "Guest"\nfor = ["P0"]\nkeep = "nice"\n'
    text += '[[effect]]\nname = "Hall"\nheard_in = ["mains", "Guest"]\n'
    on = desk(
        '[effects]\ncount = 1\nsend = "own"\nreturn_to = "mains"\n',
        about='kind = "analogue"\ntalkback = "own input"',
    )
    ways = ways_of(gig(text), on, load_policy())
    by_input = tuple(
        replace(c, ways=tuple(w for w in c.ways if w.sits)) if c.paths == ("effect.Hall",) else c
        for c in ways.classes
    )
    assert solve(ways).outcome == "best"
    assert solve(replace(ways, classes=by_input)).outcome == "none"


def test_no_placement_leaves_without_having_been_before_the_judge(monkeypatch):
    monkeypatch.setattr(
        sys.modules["gigsums.sizing.fit"], "check_placement", lambda *_: Judgement((Reason("no"),))
    )
    with pytest.raises(RuntimeError, match="not legal: no"):
        fit(gig(singers(1)), desk())
