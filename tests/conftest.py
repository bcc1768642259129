"""What every test shares."""

import pytest
from hypothesis import HealthCheck, settings

pytest.register_assert_rewrite("browsing")  # so that what a page complained of is told

from browsing import browser  # noqa: E402

__all__ = ["browser"]

# A slow or busy machine is no fault of the code: nothing here fails for taking long.
settings.register_profile("gigsums", settings(), deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("gigsums")


def pytest_make_parametrize_id(val):
    """A name without a memory address, so that pytest's processes know a case by the same name.

    It is asked only where no `ids` are given.
    """
    return type(val).__name__ if " at 0x" in repr(val) and not hasattr(val, "__name__") else None


def pytest_collection_modifyitems(items):
    """A name with an address in it differs from process to process, and pytest's processes then agree on nothing."""
    named = [item.nodeid for item in items if " at 0x" in item.nodeid]
    if named:
        raise pytest.UsageError(f"a test's name has an address in it; give its case an id: {named[0]}")
