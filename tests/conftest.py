"""What every test shares."""

import re


def pytest_itemcollected(item):
    """Name a case without memory addresses, so that pytest's processes know it by the same name."""
    item._nodeid = re.sub(r"0x[0-9a-f]{6,16}", "0x0", item.nodeid)
