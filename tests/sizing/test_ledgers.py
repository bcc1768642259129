"""Every ledger of a desk, one rule at a time. Habits of the trade: common practice, no source."""

from __future__ import annotations

import sys

import pytest

from gigs import desk, gig, singers
from gigsums.formulas.timing import fill_delay_ms
from gigsums.gig import load_policy
from gigsums.sizing import demand, fit

ROOMY = "[[mix_buses]]\ncount = 16\n"
ANALOGUE = 'kind = "analogue"\ntalkback = "own input"'


def need(text: str, on, key: str, where: str | None = None) -> float:
    return demand(gig(text), on).ledger(key, where).need


def state(text: str, on, key: str, where: str | None = None) -> str:
    return demand(gig(text), on).ledger(key, where).state


class TestInputs:
    def test_mics_dis_and_receivers_take_preamps(self):
        text = singers(2) + singers(1, source='by = "DI", stereo = true').replace("P0", "Q")
        text += '[[performer]]\nname = "R"\nsources = [{ name = "Pack", by = "mic", radio = true }]\n'
        assert need(text, desk(), "preamps") == 5

    @pytest.mark.parametrize(
        ("talkback", "preamps", "strips"), [("own input", 2, 2), ("takes a channel", 3, 3), ("none", 3, 3)]
    )
    def test_talkback_takes_a_preamp_and_a_channel_unless_it_has_its_own(self, talkback, preamps, strips):
        on = desk(ROOMY, about=f'kind = "digital"\nchannels = 32\ntalkback = "{talkback}"')
        text = singers(2, "boxes = 1")
        assert need(text, on, "preamps") == preamps
        assert need(text, on, "strips") == strips

    def test_no_talkback_is_taken_where_none_is_wanted(self):
        on = desk(ROOMY, about='kind = "digital"\ntalkback = "takes a channel"')
        assert need(singers(1, "boxes = 1"), on, "preamps") == 1

    def test_on_a_digital_box_a_line_takes_a_preamp_socket(self):
        assert need('[[line]]\nname = "L"\nstereo = true\n', desk(), "preamps") == 2

    def test_stereo_lines_go_to_stereo_inputs_and_overflow_to_two_mono(self):
        on = desk(about=ANALOGUE, inputs="mic = 8\nstereo = 1")
        text = "".join(f'[[line]]\nname = "L{n}"\nstereo = true\n' for n in range(2))
        assert need(text, on, "stereo inputs") == 1
        assert need(text, on, "preamps") == 2

    def test_mono_lines_go_to_line_inputs_then_mono_then_one_side_of_a_stereo_input(self):
        text = singers(3) + '[[line]]\nname = "L"\ncount = 3\n'
        on = desk(about=ANALOGUE, inputs="mic = 4\nline = 1\nstereo = 1")
        assert need(text, on, "line inputs") == 1
        assert need(text, on, "preamps") == 4
        assert need(text, on, "stereo inputs") == 1
        assert fit(gig(text), on).placement == "fits"

    def test_a_two_track_return_makes_room_for_what_cannot_use_it(self):
        """Two microphones on two inputs; a receiver at line level and a reverb want the two stereo inputs."""
        on = desk("[[mix_buses]]\ncount = 2\n", about=ANALOGUE, inputs="mic = 2\nstereo = 2\ntwo_track = 1")
        text = singers(2) + '[[line]]\nname = "Music"\nstereo = true\nheard_in = ["mains"]\n'
        text += '[kit]\neffects = 1\n[[effect]]\nname = "Hall"\nby = "unit"\n'
        assert fit(gig(text), on).ledger("stereo inputs").need == 2
        text += '[[line]]\nname = "Receiver"\n'
        it = fit(gig(text), on)
        assert it.placement == "fits"
        assert (it.ledger("preamps").need, it.ledger("stereo inputs").need, it.ledger("strips").need) == (
            2,
            2,
            4,
        )
        assert [row.label for row in it.ledgers if row.blocks and row.state == "short"] == []

    def test_a_two_track_return_that_does_not_help_leaves_the_music_its_channel(self):
        """Three microphones on two inputs stay short: the music is counted where it has a fader, the reverb beyond."""
        on = desk("[[mix_buses]]\ncount = 2\n", about=ANALOGUE, inputs="mic = 2\nstereo = 1\ntwo_track = 1")
        text = singers(3) + '[[line]]\nname = "Music"\nstereo = true\nheard_in = ["mains"]\n'
        text += '[kit]\neffects = 1\n[[effect]]\nname = "Hall"\nby = "unit"\n'
        assert (need(text, on, "preamps"), need(text, on, "stereo inputs")) == (5, 1)

    def test_the_wider_return_takes_the_stereo_input(self):
        """A stereo return on the stereo input and a mono one on the microphone input; the other way needs two."""
        on = desk("[[mix_buses]]\ncount = 2\n", about=ANALOGUE, inputs="mic = 1\nstereo = 1")
        text = '[kit]\neffects = 2\n[[effect]]\nname = "Slap"\nby = "unit"\nstereo = false\n'
        text += '[[effect]]\nname = "Hall"\nby = "unit"\n'
        it = fit(gig(text), on)
        assert it.placement == "fits"
        assert (it.ledger("preamps").need, it.ledger("stereo inputs").need) == (1, 1)

    def test_two_lines_of_one_name_are_told_apart(self):
        """Only the music may use the return to the mains; the player's own backing of that name is in the wedge too."""
        on = desk(
            about='kind = "digital"\nchannels = 9\ntalkback = "own input"',
            inputs="mic = 2\nstereo = 1\ntwo_track = 2",
        )
        own = '[[performer]]\nname = "Ada"\nsources = [{ name = "Music", by = "line", stereo = true, at = "desk" }]\n'
        text = own + '[[line]]\nname = "Music"\nstereo = true\nheard_in = ["mains"]\n'
        it = fit(gig(text), on)
        assert it.placement == "fits"
        assert [r.causes for r in it.ledger("stereo inputs").reasons if "two-track" in r.rule] == [
            ("line.Music",)
        ]

    def test_a_two_track_return_takes_only_what_the_mains_alone_must_hear(self):
        on = desk(about=ANALOGUE, inputs="mic = 1\nstereo = 0\ntwo_track = 1")
        line = '[[line]]\nname = "L"\nstereo = true\n'
        assert fit(gig(line + 'heard_in = ["mains"]\n'), on).placement == "fits"
        assert fit(gig(line), on).placement == "does not fit"

    def test_sources_are_counted_where_they_stand(self):
        on = desk('[[inputs]]\nat = "stage"\nmic = 4\n', inputs="mic = 2")
        text = singers(3) + '[[line]]\nname = "L"\nstereo = true\n'
        assert need(text, on, "preamps", "stage") == 3
        assert need(text, on, "preamps", "desk") == 2

    def test_without_a_stage_box_the_stage_is_plugged_at_the_desk(self):
        assert need(singers(3), desk(), "preamps", "desk") == 3

    @pytest.mark.parametrize(
        ("used", "spare"), [(1, 1), (8, 1), (9, 2), (20, 2), (21, 3), (30, 3), (31, 4), (70, 7), (100, 10)]
    )
    def test_spare_inputs_round_up_in_whole_numbers(self, used, spare):
        assert load_policy().spares.inputs(used) == spare

    def test_seven_percent_of_a_hundred_is_seven(self):
        """In floating point 0.07 x 100 is 7.000000000000001, and rounding up would give 8."""
        it = gig("[policy.spares]\ninputs_percent = 7\n")
        assert it.policy.spares.inputs(100) == 7

    def test_a_missing_spare_is_a_care_and_never_a_failure(self):
        it = fit(gig(singers(4)), desk(inputs="mic = 4"))
        assert it.ledger("preamps").state == "met without spare"
        assert it.placement == "fits"
        assert it.in_words == "fits with care"


class TestPhantom:
    RIBBON = 'by = "mic", phantom = "forbidden"'
    NEEDS = 'by = "mic", phantom = "needed"'

    def both(self, needed: int, forbidden: int, extra: str = "") -> str:
        text = singers(needed, source=self.NEEDS)
        return text + singers(forbidden, source=self.RIBBON).replace('"P', '"R').replace('"S', '"T') + extra

    @pytest.mark.parametrize(
        ("inputs", "needed", "forbidden", "extra", "placement"),
        [
            ('mic = 8\nphantom = "each"', 4, 4, "", "fits"),
            ('mic = 8\nphantom = "all"', 1, 1, "", "does not fit"),
            ('mic = 8\nphantom = "all"', 0, 4, "", "fits"),
            ('mic = 8\nphantom = "all"', 4, 0, "", "fits"),
            ('mic = 8\nphantom = "all"', 1, 1, "[kit]\nphantom_blockers = 1\n", "fits with changes"),
            ('mic = 16\nphantom = "bank"\nbank_of = 8', 8, 8, "", "fits"),
            ('mic = 16\nphantom = "bank"\nbank_of = 8', 9, 1, "", "does not fit"),
            ('mic = 8\nphantom = "none"', 1, 0, "", "does not fit"),
        ],
    )
    def test_phantom_may_not_reach_what_it_harms(self, inputs, needed, forbidden, extra, placement):
        on = desk(inputs=inputs, about='kind = "digital"\nchannels = 64\ntalkback = "own input"')
        assert fit(gig(self.both(needed, forbidden, extra)), on).placement == placement


class TestStrips:
    @pytest.mark.parametrize(("stereo", "strips"), [("takes two channels", 4), ("takes one channel", 3)])
    def test_a_stereo_source_takes_what_the_desk_says(self, stereo, strips):
        on = desk(about=f'kind = "digital"\nchannels = 8\nstereo = "{stereo}"')
        assert need(singers(2) + '[[line]]\nname = "L"\nstereo = true\n', on, "strips") == strips

    def test_sockets_are_not_strips(self):
        on = desk(about='kind = "digital"\nchannels = 4\ntalkback = "own input"')
        assert state(singers(5), on, "preamps") == "met"
        assert state(singers(5), on, "strips") == "short"

    @pytest.mark.parametrize(
        ("returns", "heard", "strips"),
        [
            ('return = "dedicated"', '["mains"]', 1),
            ('return = "dedicated"\nreturn_to = "mains"', '["mains"]', 1),
            ('return = "dedicated"\nreturn_to = "mains"', '["mains", "M0"]', 3),
            ('return = "takes two channels"', '["mains"]', 3),
            ('return = "takes a channel"', '["mains"]', 2),
        ],
    )
    def test_what_an_effects_return_takes(self, returns, heard, strips):
        on = desk(ROOMY + f'[effects]\ncount = 1\nsend = "own"\n{returns}\n')
        text = singers(1, 'through = "wedge"') + f'[[effect]]\nname = "R"\nheard_in = {heard}\n'
        assert need(text, on, "strips") == strips

    def test_a_return_that_takes_two_channels_does_so_on_a_desk_where_stereo_takes_one(self):
        about = 'kind = "digital"\nchannels = 9\nstereo = "takes one channel"\ntalkback = "own input"'
        on = desk(ROOMY + '[effects]\ncount = 1\nsend = "own"\nreturn = "takes two channels"\n', about=about)
        assert need(singers(1) + '[[effect]]\nname = "R"\n', on, "strips") == 3

    def test_an_outboard_return_on_an_analogue_desk_takes_a_stereo_input_or_two_mono(self):
        text = singers(1) + '[[effect]]\nname = "R"\n[kit]\neffects = 1\n'
        with_stereo = desk(ROOMY, about=ANALOGUE, inputs="mic = 4\nstereo = 1")
        without = desk(ROOMY, about=ANALOGUE, inputs="mic = 4")
        assert need(text, with_stereo, "stereo inputs") == 1
        assert need(text, without, "preamps") == 3


class TestOutputs:
    def test_outputs_add_mains_mixes_zones_feeds_and_outboard_sends(self):
        text = singers(2, 'through = "in-ears"') + '[[effect]]\nname = "R"\n[kit]\neffects = 1\n'
        text += '[[zone]]\nname = "Z"\nown_level = true\n[[feed]]\nname = "F"\nstereo = true\n'
        assert need(text, desk(ROOMY), "outputs") == 2 + 4 + 1 + 1 + 2

    def test_boxes_on_one_mix_are_linked_and_take_one_output(self):
        assert need(singers(1, "boxes = 4"), desk(ROOMY), "outputs") == 3

    def test_outputs_are_checked_place_by_place(self):
        on = desk(ROOMY + '[[outputs]]\nat = "stage"\nline = 20\n', outputs="line = 1")
        text = '[[feed]]\nname = "F"\nstereo = true\n'
        assert state(text, on, "outputs", "desk") == "short"
        assert state(text, on, "outputs", "all") == "met"
        moved = fit(gig(text), on)
        assert moved.placement == "fits with changes"
        assert [(c.kind, c.to) for c in moved.changes] == [("relocate", "stage")]

    @pytest.mark.parametrize(("used", "spare"), [(0, 0), (1, 1), (8, 1), (9, 2), (16, 2), (17, 3)])
    def test_one_spare_output_for_every_eight_begun(self, used, spare):
        assert load_policy().spares.outputs(used) == spare

    def test_an_internal_recording_takes_no_output(self):
        text = '[[feed]]\nname = "F"\nstereo = true\nrecorded = true\n'
        assert need(text, desk("[recording]\ntracks = 2\n"), "outputs") == 2
        assert need(text, desk(), "outputs") == 4

    def test_record_sockets_carry_a_copy_of_the_mains_but_not_a_mix_minus(self):
        on = desk(ROOMY, about=ANALOGUE, outputs="line = 8\nrecord = 2")
        assert need('[[feed]]\nname = "F"\nstereo = true\n', on, "outputs") == 2
        minus = singers(1) + '[[feed]]\nname = "F"\nwithout = ["P0"]\n'
        assert need(minus, on, "outputs") == 3
        assert need(minus, on, "buses") == 1

    def test_one_mix_minus_for_each_far_party(self):
        text = singers(2) + '[[feed]]\nname = "F"\nwithout = ["P0"]\n[[feed]]\nname = "G"\nwithout = ["P1"]\n'
        assert need(text, desk(ROOMY), "buses") == 2

    def test_zones_take_matrices_first_and_buses_after(self):
        text = "".join(f'[[zone]]\nname = "Z{n}"\nown_level = true\n' for n in range(3))
        on = desk(ROOMY + "[matrices]\ncount = 2\n")
        assert need(text, on, "matrices") == 2
        assert need(text, on, "buses") == 1

    def test_a_zone_that_insists_on_a_matrix_leaves_the_ledger_short(self):
        text = "".join(f'[[zone]]\nname = "Z{n}"\nfrom = "matrix"\n' for n in range(3))
        assert state(text, desk(ROOMY + "[matrices]\ncount = 2\n"), "matrices") == "short"

    def test_groups_feed_zones_at_unity_but_never_delayed_ones(self):
        on = desk('[[mix_buses]]\ncount = 2\n[[mix_buses]]\ncount = 2\nkind = "group"\n')
        assert need('[[zone]]\nname = "Z"\nequaliser = true\n', on, "buses") == 0
        assert need('[[zone]]\nname = "Z"\ndistance_m = { main = 20, own = 5 }\n', on, "buses") == 1


class TestProcessing:
    def test_a_compressor_and_a_gate_share_an_insert_but_are_two_units(self):
        on = desk(about=ANALOGUE, inputs="mic = 4\ninserts = 1")
        text = singers(1, source='by = "mic", compressor = true, gate = true')
        assert [need(text, on, key) for key in ("inserts", "compressors", "gates")] == [1, 1, 1]

    def test_missing_equalisers_are_carried_and_keep_no_gig_off_a_desk(self):
        it = fit(gig(singers(1, "boxes = 1")), desk(ROOMY))
        assert it.ledger("equalisers").state == "short"
        assert it.placement == "fits"
        assert any("equalisers" in care.rule for care in it.cares)

    def test_kit_at_hand_fills_what_the_desk_lacks(self):
        text = singers(1, "boxes = 1") + "[kit]\nequalisers = 3\n"
        assert state(text, desk(ROOMY), "equalisers") == "met"

    ZONE = '[[zone]]\nname = "Z"\ndistance_m = {{ main = {main}, own = 5 }}\n'

    def test_a_delay_beyond_the_desk_keeps_the_gig_off_it(self):
        on = desk(ROOMY, outputs="line = 8\ndelay_up_to_ms = 100")
        near, far = self.ZONE.format(main=30), self.ZONE.format(main=60)
        assert fit(gig(near), on).placement == "fits"
        assert fit(gig(far), on).placement == "does not fit"
        assert fit(gig(far + "[kit]\ndelays = 1\n"), on).placement == "fits with changes"

    def test_delays_are_set_for_the_coldest_air(self):
        """Colder air is slower: 35.0 m less 5 m is 87.4 ms at 20 degrees C and 93.9 ms at -20."""
        on = desk(ROOMY, outputs="line = 8\ndelay_up_to_ms = 100")
        text = self.ZONE.format(main=35)
        assert fill_delay_ms(35, 5, 20, 10) < 100 < fill_delay_ms(35, 5, -20, 10)
        assert fit(gig(text), on).placement == "fits"
        assert fit(gig("[venue]\ntemperature_c = [-20, 20]\n" + text), on).placement == "does not fit"

    def test_an_effect_with_no_unit_anywhere_does_not_fit(self):
        text = '[[effect]]\nname = "R"\n'
        assert fit(gig(text), desk(ROOMY)).placement == "does not fit"
        assert fit(gig(text + "[kit]\neffects = 1\n"), desk(ROOMY)).placement == "fits with changes"

    def test_tracks_are_the_sources_and_two_for_the_stereo_mix(self):
        text = singers(5) + '[[feed]]\nname = "Each"\ncarries = "each source"\nrecorded = true\n'
        text += '[[feed]]\nname = "Mix"\nstereo = true\nrecorded = true\n'
        on = desk('[recording]\ntracks = 8\nfrom = "channels"\n')
        assert need(text, on, "tracks") == 7
        assert state(text, desk('[recording]\ntracks = 8\nfrom = "mains"\n'), "tracks") == "short"


class TestCares:
    def test_an_unsettled_count_is_a_care(self):
        it = fit(gig(singers(1, source='by = "mic", count = { least = 2, most = 4 }')), desk())
        assert it.ledger("preamps").need == 4
        assert any("not settled" in care.rule for care in it.cares)

    @pytest.mark.parametrize(
        ("skill", "prepared", "warned"),
        [("novice", "false", True), ("novice", "true", False), ("experienced", "false", False)],
    )
    def test_skill_below_the_desks_is_a_care_unless_a_file_is_ready(self, skill, prepared, warned):
        text = f'[crew]\npeople = [{{ name = "Nan", skill = "{skill}" }}]\nprepared_file = {prepared}\n'
        on = desk(about='kind = "digital"\nleast_skill = "intermediate"')
        assert any("Nan" in care.rule for care in fit(gig(text), on).cares) is warned

    @pytest.mark.parametrize("found", [True, False])
    def test_a_solver_out_of_time_proves_nothing_and_says_so(self, found, monkeypatch):
        """The solver's own answer, with the status that HiGHS gives at its time limit."""
        import scipy.optimize

        whole = scipy.optimize.milp

        def cut_short(*args, **kwargs):
            answer = whole(*args, **kwargs)
            answer.status, answer.x = 1, (answer.x if found else None)
            return answer

        on, text = desk(), gig(singers(1))
        asked = demand(text, on)
        monkeypatch.setattr(scipy.optimize, "milp", cut_short)
        module = sys.modules["gigsums.sizing.fit"]
        monkeypatch.setattr(module, "demand", lambda *_: asked)
        it = fit(text, on)
        assert not it.proven
        assert it.placement == ("fits" if found else "does not fit")
        assert any("ran out of time" in care.rule for care in it.cares)


def test_renaming_and_reordering_performers_changes_no_count():
    forward = gig(singers(3, 'through = "in-ears"'))
    text = "".join(
        f'[[performer]]\nname = "{n}"\nsources = [{{ name = "Z{n}", by = "mic" }}]\n[[mix]]\nname = "W{n}"\nfor = ["{n}"]\nthrough = "in-ears"\n'
        for n in "cba"
    )
    on = desk(ROOMY)
    assert [(r.key, r.need, r.state) for r in demand(forward, on).ledgers] == [
        (r.key, r.need, r.state) for r in demand(gig(text), on).ledgers
    ]
