"""Planning: what is on paper before the van is loaded. The input list, the patch, what leaves by which socket, the bag."""

from .bag import BagList, BagRow, bag
from .inputs import InputList, InputRow, input_list
from .outputs import OutputList, OutputRow, output_list
from .patch import Patch, in_list_order, patch

__all__ = [
    "BagList",
    "BagRow",
    "InputList",
    "InputRow",
    "OutputList",
    "OutputRow",
    "Patch",
    "bag",
    "in_list_order",
    "input_list",
    "output_list",
    "patch",
]
