"""The stream of draws: the same everywhere, fair, and as a person would write the numbers."""

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import chisquare

from gigsums.practice.drawing import Draw, seed_text

# printf 'example\x1f1' | sha256sum | xxd -r -p > key; (cat key; printf '\0\0\0\0\0\0\0\0') | sha256sum,
# then the same with \1 as the last byte: by coreutils, 64 bits at a time.
BY_COREUTILS = [
    0x5A3868C14EF36277, 0xCFBFC6F1F655750D, 0x55F7C2C2FD4C9CBE, 0xA498DF718EB5364B,
    0xFDB7EA8EE30F868D, 0x4EEC11219182ACD6, 0xF9C83D885C13A81F, 0xECF0D037A4404301,
]  # fmt: skip


def test_bits_are_those_another_program_computes():
    draw = Draw("example", 1)
    assert [draw.whole(0, 2**64 - 1) for _ in BY_COREUTILS] == BY_COREUTILS


def test_whole_numbers_follow_from_the_bits():
    draw = Draw("example", 1)
    assert [draw.whole(1, 6) for _ in BY_COREUTILS] == [1 + bits % 6 for bits in BY_COREUTILS]


def test_bits_that_would_favour_some_numbers_are_thrown_away():
    width = 0xF000000000000000  # only the bits below it are fair; the first three of the stream are
    draw = Draw("example", 1)
    kept = [bits for bits in BY_COREUTILS if bits < width]
    assert len(kept) < len(BY_COREUTILS)
    assert [draw.whole(0, width - 1) for _ in kept] == kept


@pytest.mark.parametrize(("least", "most"), [(1, 6), (0, 1), (-3, 9)])
def test_each_number_is_as_likely_as_the_next(least, most):
    draw = Draw("fair", least, most)
    seen = Counter(draw.whole(least, most) for _ in range(20_000))
    assert set(seen) == set(range(least, most + 1))
    assert chisquare(list(seen.values())).pvalue > 1e-4


def test_chances_come_out():
    draw = Draw("chances")
    assert 0.28 < sum(draw.yes(3, 10) for _ in range(5_000)) / 5_000 < 0.32


def test_order_of_some_is_of_chance():
    draw = Draw("orders")
    seen = Counter(tuple(draw.some("abc", 3)) for _ in range(6_000))
    assert len(seen) == 6
    assert chisquare(list(seen.values())).pvalue > 1e-4


@settings(deadline=None)
@given(st.integers(-100, 100), st.integers(1, 400), st.sampled_from([0.1, 0.25, 0.5, 1, 5, 0.05]))
def test_steps_are_short_decimals_within_the_range(first, steps, step):
    most = first + steps * step
    value = Draw("steps", first, steps).step(first, most, step)
    assert first <= value <= most + 1e-9
    assert len(repr(value).partition(".")[2]) <= 2


def test_streams_differ_by_every_part_of_the_key():
    keys = [("a", 1), ("a", 2), ("b", 1), ("a", "1", "1"), ("a1", "")]
    assert len({tuple(Draw(*key).whole(0, 10**9) for _ in range(3)) for key in keys}) == len(keys)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda d: d.whole(3, 2), "most is 2; it may be 3 or more"),
        (lambda d: d.some("ab", 3), "count is 3; it may be 2 or less"),
    ],
)
def test_impossible_draws_are_refused(call, said):
    with pytest.raises(ValueError, match=said):
        call(Draw("refused"))


@pytest.mark.parametrize(
    "seed", [True, 1.5, None, "", "   ", "x" * 201, 10**700, b"1"], ids=lambda seed: type(seed).__name__
)
def test_seeds_that_cannot_be_used_are_refused(seed):
    with pytest.raises(ValueError, match="seed"):
        seed_text(seed)


def test_a_typed_number_is_the_same_seed():
    assert seed_text(11) == seed_text("11") == seed_text(" 11 ")
