"""Whole-gig problems marked: what each mistake costs, worked out by hand from the marks in exercises/policy/marking.toml.

Common practice, no source: 50 for counts, 15 for the placement, 10 for the verdict, 15 for the changes, 10 for
the document; a legal answer that is dearer earns 60 percent; danger caps the whole at 40 percent.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from gigsums.whole_gigs import WholeGig, WholeMarking, mark_whole, whole_gig
from gigsums.whole_gigs.key import Key, as_answers


@pytest.fixture(scope="module")
def lantern() -> WholeGig:
    """Eighteen counts; it fits with changes at 26 points, or otherwise at 28."""
    return whole_gig("lantern_night")


@pytest.fixture(scope="module")
def loft() -> WholeGig:
    """Fits with care and needs no change, so that 85 marks are spread over a hundred."""
    return whole_gig("loft_quartet")


@pytest.fixture(scope="module")
def trio() -> WholeGig:
    """With a click."""
    return whole_gig("tidewrack_trio")


def marked(job: WholeGig, **parts) -> WholeMarking:
    """The key with some of its parts answered otherwise."""
    answers = job.key_answers()
    for name, part in parts.items():
        answers[name] = {**answers[name], **part} if isinstance(part, dict) else part
    return mark_whole(job, answers)


def key_of(job: WholeGig, answer: int) -> Key:
    """The key with another of its answers as the first."""
    return replace(job.solution, answers=job.solution.answers[answer:])


def section(marking: WholeMarking, name: str) -> float:
    return marking.section(name).marks


# counts


def test_a_single_wrong_count_costs_one_eighteenth_of_fifty(lantern):
    assert section(marked(lantern, counts={"gates": "2"}), "counts") == pytest.approx(50 * 17 / 18, abs=0.05)


def test_two_different_answers_to_one_count_are_none(lantern):
    counts = lantern.key_answers()["counts"]
    right = counts["gates"]
    both = marked(lantern, counts={**counts, "Gates": "99"})
    assert "gates: two different answers stand there" in str(both)
    assert section(both, "counts") == pytest.approx(50 * 17 / 18, abs=0.05)
    assert not marked(lantern, counts={**counts, "Gates": right}).malformed


@pytest.mark.parametrize("typed", ["{}.", "{} gates.", "\u00a0{}\u00a0gates"])
def test_a_count_is_read_with_a_full_stop_or_hard_spaces(lantern, typed):
    right = lantern.key_answers()["counts"]["gates"]
    assert section(marked(lantern, counts={"gates": typed.format(right)}), "counts") == 50


def test_an_extra_mix_carried_into_everything_that_rests_on_it_costs_once(lantern):
    """Six mixes: eight buses of mixes, nine in all, four mono in two pairs, 14 outputs, 11 equalisers."""
    counts = {
        "monitor mixes": "6",
        "monitor buses": "8",
        "buses": "9",
        "bus pairs": "5",
        "outputs (desk)": "14",
        "equalisers": "11",
    }
    marking = marked(lantern, counts=counts)
    assert section(marking, "counts") == pytest.approx(50 * 17 / 18, abs=0.05)
    assert marking.carried[:4] == ("monitor buses", "buses", "outputs (desk)", "equalisers")


def test_a_number_that_no_known_slip_explains_is_carried_too(lantern):
    """Nine mixes: four mono more, so seven mono before the fader in four pairs, two stereo, one send: seven pairs."""
    counts = {
        "monitor mixes": "9",
        "monitor buses": "11",
        "buses": "12",
        "bus pairs": "7",
        "outputs (desk)": "17",
        "equalisers": "14",
    }
    assert section(marked(lantern, counts=counts), "counts") == pytest.approx(50 * 17 / 18, abs=0.05)


def test_half_of_it_carried_costs_the_half_that_is_not(lantern):
    """Buses follow, outputs and equalisers are those of eight buses more, which nothing says."""
    counts = {
        "monitor mixes": "6",
        "monitor buses": "8",
        "buses": "9",
        "outputs (desk)": "21",
        "equalisers": "18",
    }
    assert section(marked(lantern, counts=counts), "counts") == pytest.approx(50 * 15 / 18, abs=0.05)


def test_an_empty_mix_count_carries_nothing(lantern):
    counts = {"monitor mixes": "", "monitor buses": "8"}
    assert section(marked(lantern, counts=counts), "counts") == pytest.approx(50 * 16 / 18, abs=0.05)


def test_pairs_are_worked_out_again_from_the_buses_that_were_counted(lantern):
    """Both in-ears mono: five mono before the fader in three pairs, and the send: four."""
    counts = {"monitor buses": "5", "buses": "6", "bus pairs": "4", "outputs (desk)": "11", "equalisers": "8"}
    assert section(marked(lantern, counts=counts), "counts") == pytest.approx(50 * 17 / 18, abs=0.05)
    wrong = {**counts, "bus pairs": "3"}
    assert section(marked(lantern, counts=wrong), "counts") == pytest.approx(50 * 16 / 18, abs=0.05)


def test_a_slip_of_kind_is_worked_out_again_by_the_engine(lantern):
    """DI taken for line: bass, acoustic guitar and two of keys leave the preamps; the stereo keys take a stereo input.

    16 - 4 = 12 preamps, but the mono lines go on preamps again: 14. Stereo 3 + 1 = 4. Strips 14 + 4 = 18.
    """
    counts = {"preamps (desk)": "14", "stereo inputs (desk)": "4", "strips": "18"}
    assert section(marked(lantern, counts=counts), "counts") == pytest.approx(50 * 17 / 18, abs=0.05)


def test_the_hint_of_a_known_slip_is_given(lantern):
    marking = marked(lantern, counts={"monitor mixes": "6"})
    hints = [count.note for count in marking.counts if count.label == "monitor mixes"]
    assert hints == [""] or "mix" in hints[0]
    marking = marked(lantern, counts={"preamps (desk)": "14"})
    assert "DI" in next(count.note for count in marking.counts if count.label == "preamps (desk)")


def test_in_ears_counted_as_one_bus_each_get_their_hint(trio):
    marking = marked(trio, counts={"monitor buses": "3", "buses": "3"})
    notes = {count.label: count.note for count in marking.counts}
    assert notes["monitor buses"] == "left and right in the ears are two signals"
    assert notes["buses"] == "it follows from what was counted before"


@pytest.mark.parametrize("typed", ["63 ms", "63,0 ms", "0.063 s", "63.9", "62"])
def test_a_delay_within_two_percent_is_right_in_any_unit(lantern, typed):
    assert section(marked(lantern, counts={"Back of shed delay": typed}), "counts") == 50


@pytest.mark.parametrize("typed", ["83.6 ms", "64.4", "0.63 s"])
def test_another_delay_is_wrong(lantern, typed):
    assert section(marked(lantern, counts={"Back of shed delay": typed}), "counts") == pytest.approx(47.2)


@pytest.mark.parametrize(
    ("typed", "is_path"), [("73.5", True), ("83.6", True), ("20.6 ms", True), ("94.1", True), ("5", False), ("63.0 s", False)]
)  # fmt: skip
def test_a_delay_of_a_whole_path_is_told_so_and_no_other(lantern, typed, is_path):
    """25 m and 7 m of air at 14 degrees, 340 m/s: 73.5 ms, 20.6 ms, both 94.1 ms; the offset of the house is 10 ms."""
    (told,) = (
        count.note
        for count in marked(lantern, counts={"Back of shed delay": typed}).counts
        if count.label == "Back of shed delay"
    )
    assert ("difference of the two paths" in told) is is_path


def test_a_count_is_not_put_down_to_a_slip_that_an_earlier_count_rules_out(loft):
    """One preamp too few, with talkback counted: something else was forgotten."""
    for talkback, told in (("1", ""), ("0", "somebody has to speak to the stage")):
        marking = marked(loft, counts={"preamps (desk)": "11", "talkback": talkback})
        assert {count.label: count.note for count in marking.counts}["preamps (desk)"] in (
            told, told and "it follows from what was counted before",
        )  # fmt: skip


def test_a_delay_without_the_offset_is_right_with_a_note(lantern):
    marking = marked(lantern, counts={"Back of shed delay": "53.0 ms"})
    assert section(marking, "counts") == 50
    assert any("offset of 10 ms" in message for message in marking.messages)


@pytest.mark.parametrize("typed", ["16 preamps", "16 inputs", " 16 "])
def test_a_count_may_carry_its_word(lantern, typed):
    assert section(marked(lantern, counts={"preamps (desk)": typed}), "counts") == 50


@pytest.mark.parametrize(
    "typed",
    ["sixteen", "Sixteen.", "16/19", "16 / 19", "16 of 19", "need 16, have 19", "10 + 6 = 16", "about 16"],
)
def test_a_count_is_read_as_a_question_reads_it(lantern, typed):
    """Of need and have, the need is what is asked for; turned round it is another count."""
    counts = {"preamps (desk)": "", "Preamps – desk": typed}
    assert section(marked(lantern, counts=counts), "counts") == 50
    turned = marked(lantern, counts={"preamps (desk)": "19/16"})
    assert section(turned, "counts") == pytest.approx(50 * 17 / 18, abs=0.05)


@pytest.mark.parametrize("typed", ["16, 19", "16 or 17", "16 or so", "sixteen to twenty", "16 and 3"])
def test_a_count_that_leaves_two_open_is_named(lantern, typed):
    marking = marked(lantern, counts={"preamps (desk)": typed})
    assert section(marking, "counts") == pytest.approx(50 * 17 / 18, abs=0.05)
    assert any(typed in fault for fault in marking.malformed)


# verdict


def test_the_word_is_six_and_the_ledgers_are_four(lantern):
    assert section(marked(lantern, verdict={"word": "fits"}), "verdict") == 4
    assert section(marked(lantern, verdict={"word": "does not fit"}), "verdict") == 4
    assert section(marked(lantern, verdict={"word": ""}), "verdict") == 4
    assert section(marked(lantern, verdict={"word": "perhaps"}), "verdict") == 4
    assert section(mark_whole(lantern, {"verdict": {"word": ""}}), "verdict") == 0


def test_a_ledger_is_named_in_any_case_and_with_its_numbers(lantern):
    lists = {
        "short": ["Bus pairs: 5/4", "Delays (1/0)", "EFFECTS"],
        "no_spare": "Buses.",
        "bring": "the equalisers",
    }
    assert section(marked(lantern, verdict=lists), "verdict") == 10


def test_one_of_three_short_ledgers_missed(lantern):
    """Two thirds of one list of three: 6 + 4 x (2/3 + 1 + 1) / 3."""
    marking = marked(lantern, verdict={"short": ["bus pairs", "delays"]})
    assert section(marking, "verdict") == pytest.approx(6 + 4 * (2 / 3 + 2) / 3, abs=0.05)
    marking = marked(lantern, verdict={"short": ["bus pairs", "delays", "effects", "strips"]})
    assert section(marking, "verdict") == pytest.approx(6 + 4 * (2 / 3 + 2) / 3, abs=0.05)


def test_only_the_care_missed_is_half_of_the_word(loft):
    """Verdict is worth 10 / 85 of a hundred: (0.6 / 2 + 0.4) x 11.76."""
    marking = marked(loft, verdict={"word": "fits"})
    assert section(marking, "verdict") == pytest.approx(0.7 * 1000 / 85, abs=0.05)


def test_a_verdict_that_follows_from_wrong_counts_costs_nothing_more(lantern):
    """Nine buses counted of eight: short of them too, and said so."""
    counts = {
        "monitor mixes": "6",
        "monitor buses": "8",
        "buses": "9",
        "outputs (desk)": "14",
        "equalisers": "11",
    }
    verdict = {"short": ["bus pairs", "delays", "effects", "buses"], "no_spare": []}
    marking = marked(lantern, counts=counts, verdict=verdict)
    assert section(marking, "verdict") == 10
    assert "verdict" in marking.carried
    assert section(marked(lantern, verdict=verdict), "verdict") < 10


def test_a_word_that_follows_from_wrong_counts_is_due(loft):
    """Seventeen preamps counted of sixteen: somebody who reckons so must say that it does not fit as asked."""
    verdict = {"word": "does not fit", "short": ["preamps (desk)"]}
    carried = marked(loft, counts={"preamps (desk)": "17", "strips": "19"}, verdict=verdict)
    assert section(carried, "verdict") == pytest.approx(11.8)
    assert section(marked(loft, verdict=verdict), "verdict") == 0


# changes and placement


def test_the_dearer_of_two_ways_earns_sixty_percent(lantern):
    other = as_answers(key_of(lantern, 1), {})
    marking = marked(lantern, changes=other["changes"], placement=other["placement"])
    assert (section(marking, "remedies"), section(marking, "allocation")) == (9, 9)
    assert any("28 points; there is a way at 26" in message for message in marking.messages)


def test_any_order_of_sockets_is_right(lantern):
    rows = lantern.key_answers()["placement"]["rows"]
    other = {"Kick": "Snare", "Snare": "Kick"}
    rows = [{**row, "item": other.get(row["item"], row["item"])} for row in rows]
    assert section(marked(lantern, placement={"rows": rows}), "allocation") == 15


def test_an_illegal_placement_says_why_and_earns_for_what_is_right(lantern):
    """26 things; the two on one socket are wrong: half of fifteen, for 24 of 26."""
    rows = lantern.key_answers()["placement"]["rows"]
    kick = next(row for row in rows if row["item"] == "Kick")
    rows = [{**row, "number": kick["number"]} if row["item"] == "Snare" else row for row in rows]
    marking = marked(lantern, placement={"rows": rows})
    assert section(marking, "allocation") == pytest.approx(7.5 * 24 / 26, abs=0.05)
    assert any("is used 2 times" in message for message in marking.messages)


def test_a_legal_placement_whose_changes_are_not_listed_costs_the_changes_only(lantern):
    marking = marked(lantern, changes={"rows": []})
    assert (section(marking, "allocation"), section(marking, "remedies")) == (15, 0)


def test_changes_that_do_not_make_it_fit_earn_for_those_that_belong(lantern):
    """One of three: half of fifteen, a third of it."""
    rows = lantern.key_answers()["changes"]["rows"]
    marking = marked(lantern, changes={"rows": rows[:1]})
    assert section(marking, "remedies") == pytest.approx(15 * 0.5 / 3, abs=0.05)
    assert any("still does not fit" in message for message in marking.messages)


def test_other_changes_at_the_same_price_are_as_good():
    """Any of the mono mixes may go to the desk's outputs; the key names one."""
    job = whole_gig("harvest_ball")
    other = as_answers(key_of(job, 1), {})
    assert other["changes"] != job.key_answers()["changes"]
    marking = marked(job, changes=other["changes"], placement=other["placement"])
    assert marking.total == 100


def test_a_change_nobody_agreed_to_is_refused(lantern):
    rows = [*lantern.key_answers()["changes"]["rows"], {"kind": "mono", "item": "Maud", "to": ""}]
    marking = marked(lantern, changes={"rows": rows})
    assert any("Maud may be mono" in message for message in marking.messages)


def test_needless_changes_make_a_placement_dearer(loft):
    rows = [{"kind": "drop want", "item": "Walk-in music"}]
    places = [row for row in loft.key_answers()["placement"]["rows"] if row["item"] != "Walk-in music"]
    marking = marked(loft, changes={"rows": rows}, placement={"rows": places})
    assert section(marking, "allocation") == pytest.approx(0.6 * 1500 / 85, abs=0.05)
    assert marking.section("remedies").out_of == 0


def test_where_nothing_makes_it_fit_the_other_sections_are_worth_a_hundred():
    job = whole_gig("bandstand_brass")
    marking = mark_whole(job, job.key_answers())
    assert [round(part.out_of, 1) for part in marking.sections] == [71.4, 0, 14.3, 0, 14.3]
    assert "Changes: nothing to answer here, so its marks went to the others" in str(marking)


def test_another_desk_may_be_fetched():
    job = whole_gig("cellar_small_desk")
    changes = {"rows": [{"kind": "another desk", "item": "desk", "to": "desk_d"}]}
    assert section(marked(job, changes=changes), "remedies") == 15
    nowhere = {"rows": [{"kind": "another desk", "item": "desk", "to": "Desk B"}]}
    assert section(marked(job, changes=nowhere), "remedies") == 0


# the document


def test_a_missing_line_of_the_input_list_costs_its_share(lantern):
    """Sixteen sources; the list is 60 percent of ten: 6 x 15 / 16 + 4."""
    rows = lantern.key_answers()["inputs"]["rows"][:-1]
    assert section(marked(lantern, inputs={"rows": rows}), "document") == pytest.approx(
        6 * 15 / 16 + 4, abs=0.05
    )


def test_phantom_forgotten_costs_a_quarter_of_a_line(lantern):
    rows = [dict(row) for row in lantern.key_answers()["inputs"]["rows"]]
    rows[0]["phantom"] = False
    assert section(marked(lantern, inputs={"rows": rows}), "document") == pytest.approx(
        6 * 15.75 / 16 + 4, abs=0.05
    )


def test_one_of_six_questions_about_safe_working_wrong(lantern):
    marking = marked(lantern, safety={"late": "the line check"})
    assert section(marking, "document") == pytest.approx(6 + 4 * 5 / 6, abs=0.05)
    assert not marking.flags


# what is dangerous


def capped(marking: WholeMarking) -> bool:
    assert marking.capped == any(flag.caps for flag in marking.flags)
    return marking.capped and marking.total <= 40 and marking.needs_review


def test_a_defeated_earth_caps_at_forty_and_says_so(lantern):
    marking = marked(lantern, safety={"hum": "c"})
    assert capped(marking)
    assert (marking.total, marking.out_of) == (40, 100)
    assert marking.earned > 95
    said = str(marking)
    assert "40 of 100 marks" in said
    assert "A person has to look at this" in said
    assert "protective earth" in said
    assert "A person has to look at this" in marking._repr_markdown_()


@pytest.mark.parametrize(
    "where", ["mains", "The audience", "PA", "Recording", "everywhere", "FOH", "L/R", "main mix"]
)
def test_a_click_that_reaches_the_audience_is_a_fault_of_the_sheet_and_hurts_nobody(trio, where):
    rows = [dict(row) for row in trio.key_answers()["inputs"]["rows"]]
    rows[-1]["to"] = ["Sunniva", "Marek", "Joss", where]
    assert rows[-1]["source"] == "Click"
    marking = marked(trio, inputs={"rows": rows})
    assert not marking.flags
    assert marking.total == marking.earned < 100
    assert "where it goes" in str(marking)


@pytest.mark.parametrize(
    ("to", "good"),
    [
        (["Sunniva", "Marek", "Joss"], True),
        ("joss (in-ears); MAREK, mix Sunniva", True),
        ("in-ears", True),
        ([], False),
        ("", False),
        (["Sunniva"], False),
        (["Sunniva", "Marek", "Joss", "Recording"], False),
        (["Sunniva", "Marek", "Joss", "mains"], False),
        ("the band", False),
    ],
)
def test_where_the_click_goes_is_marked(trio, to, good):
    """One of the five things that are asked of one of seven sources, of ten marks less what safe working has."""
    rows = trio.key_answers()["inputs"]["rows"]
    marking = marked(trio, inputs={"rows": [*rows[:-1], {**rows[-1], "to": to}]})
    assert (
        "Input list, Click: look again at where it goes." in marking.section("document").messages
    ) is not good
    full = marked(trio).section("document")
    lost = (1 - trio.marks.safety / 100) * full.out_of / len(rows) / 5
    assert section(marking, "document") == pytest.approx(full.marks - (0 if good else lost), abs=0.051)
    without = marked(trio, inputs={"rows": [*rows[:-1], {k: v for k, v in rows[-1].items() if k != "to"}]})
    assert without.section("document").messages


def test_a_click_that_goes_to_the_players_is_no_danger(trio):
    assert not mark_whole(trio, trio.key_answers()).flags


def test_other_sources_may_be_said_to_reach_the_audience(trio):
    rows = [
        {**row, "to": ["mains"]} if row["source"] != "Click" else row
        for row in trio.key_answers()["inputs"]["rows"]
    ]
    assert not marked(trio, inputs={"rows": rows}).flags


def test_a_click_on_a_return_that_reaches_the_mains_costs_marks_and_no_more(tmp_path):
    gig = (
        'format = 1\n[gig]\nname = "G"\n[[performer]]\nname = "Ada"\nsources = [{ name = "Voice", by = "mic" }]\n'
        '[[line]]\nname = "Click"\nstereo = true\nto_mains = false\nheard_in = ["Ada"]\n[[mix]]\nname = "Ears"\nfor = ["Ada"]\n'
    )
    (tmp_path / "g.toml").write_text(gig, encoding="utf-8")
    problem = tmp_path / "p.toml"
    problem.write_text('format = 1\n[problem]\ntitle = "T"\ngig = "g"\ndesk = "desk_a"\n', encoding="utf-8")
    job = whole_gig(problem)
    rows = [row for row in job.key_answers()["placement"]["rows"] if row["item"] != "Click"]
    rows.append({"item": "Click", "on": "two-track return", "at": "desk", "number": 1})
    marking = marked(job, placement={"rows": rows})
    assert not marking.flags
    assert section(marking, "allocation") < section(mark_whole(job, job.key_answers()), "allocation")


@pytest.mark.parametrize(
    "notes",
    [
        "If it hums I lift the earth in the plug of the amplifier.",
        "Hum: cut the earth pin off the extension.",
        "Tape over the protective earth. Then it is quiet.",
        "Hold the RCD in with tape until the last song.",
        "The earth wire is disconnected at the amp",
    ],
)
def test_danger_in_somebodys_own_words_is_found_and_quoted(trio, notes):
    marking = marked(trio, notes=notes)
    assert capped(marking)
    assert any("notes: “" in flag.where for flag in marking.flags)


@pytest.mark.parametrize(
    "notes",
    [
        "Never lift the protective earth.",
        "I use the earth lift of the DI box.",
        "Lift at the DI, not at the mains.",
        "The click goes to the mains.",
        "Keep the click out of everything; send it to Marek's ears.",
        "Nobody removes an earth pin here.",
        "Down to earth: lift with your knees.",
        "",
    ],
)
def test_what_is_safe_is_left_alone(trio, notes):
    assert not marked(trio, notes=notes).flags


def test_what_may_be_dangerous_is_flagged_and_does_not_cap(trio):
    marking = marked(trio, notes="If it hums, don't worry, just lift the earth.")
    assert marking.needs_review
    assert not marking.capped


def test_danger_in_place_of_a_choice_is_found(lantern):
    marking = marked(lantern, safety={"hum": "lift the earth of the amplifier"})
    assert capped(marking)
    assert "safe working, hum" in str(marking)


def test_phantom_on_a_ribbon_is_flagged_and_does_not_cap():
    job = whole_gig("boatyard_duo")
    rows = [
        {**row, "phantom": True} if "ribbon" in row["source"] else row
        for row in job.key_answers()["inputs"]["rows"]
    ]
    marking = marked(job, inputs={"rows": rows})
    assert marking.needs_review
    assert not marking.capped
    assert marking.total > 95


def test_a_cap_never_gives_marks(lantern):
    marking = mark_whole(lantern, {"verdict": {"word": "fits"}, "safety": {"hum": "c"}})
    assert marking.capped
    assert marking.total == marking.earned < 40


def test_the_marking_is_plain_values(lantern):
    plain = marked(lantern, safety={"hum": "c"}).as_json()
    assert (plain["format"], plain["capped"], plain["needs_review"], plain["total"]) == (1, True, True, 40)
    assert {part["name"] for part in plain["sections"]} == {
        "counts", "allocation", "verdict", "remedies", "document",
    }  # fmt: skip
    with pytest.raises(KeyError, match="no section 'sums'"):
        marked(lantern).section("sums")
