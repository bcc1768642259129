"""What every test shares."""


def pytest_make_parametrize_id(val):
    """A name without a memory address, so that pytest's processes know a case by the same name.

    It is asked only where no `ids` are given.
    """
    return type(val).__name__ if " at 0x" in repr(val) and not hasattr(val, "__name__") else None
