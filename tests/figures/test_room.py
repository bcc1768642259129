"""Pictures of a room: the curves cross where the sum says, and fall as they must."""

import numpy as np
import pytest

from gigsums.figures import picture


@pytest.mark.parametrize("critical_m", [0.06, 0.9, 4.94, 29.0, 570.0])
def test_both_are_3_db_over_either_at_the_critical_distance(critical_m):
    """Two equal unrelated levels add to 3.01 dB more, and a small source falls by 6.02 dB a doubling."""
    drawn = picture("direct and room", critical_m=critical_m)
    metres, direct = (np.asarray(each) for each in drawn._direct.get_data())
    both = np.asarray(drawn._both.get_ydata())

    def level(of, where_m):
        return np.interp(np.log(where_m), np.log(metres), of)

    assert metres[0] < critical_m < metres[-1]
    assert level(direct, critical_m) == pytest.approx(0, abs=0.01)
    assert level(both, critical_m) == pytest.approx(3.01, abs=0.02)
    assert level(direct, critical_m) - level(direct, 2 * critical_m) == pytest.approx(6.02, abs=0.02)
    assert both[-1] < 3 < both[0]
    assert (both > 0).all()


@pytest.mark.parametrize("time_s", [0.05, 1.6, 9.9])
def test_a_decay_is_60_db_down_at_its_time(time_s):
    """The definition of reverberation time."""
    drawn = picture("decay", reverberation_s=time_s)
    assert list(drawn._line.get_xdata()) == [0, time_s]
    assert list(drawn._line.get_ydata()) == [0, -60]
    assert drawn._area.get_xlim()[1] > time_s
