"""What every test shares."""

import hypothesis

# No test asserts a time: a busy machine must not fail one.
hypothesis.settings.register_profile("gigsums", deadline=None)
hypothesis.settings.load_profile("gigsums")


def pytest_make_parametrize_id(val):
    """A name without a memory address, so that pytest's processes know a case by the same name.

    It is asked only where no `ids` are given.
    """
    return type(val).__name__ if " at 0x" in repr(val) and not hasattr(val, "__name__") else None
