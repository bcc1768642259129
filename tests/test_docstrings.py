"""Docstrings are read by numpydoc's parser and held against the signatures and the code.

A formula has every section, with units in brackets. What a room publishes in `__all__` has its parameters and
what it raises. Any other name without an underscore has a summary line, and no section that is wrong.
"""

import ast
import doctest
import importlib
import inspect
import pkgutil
import re
import textwrap
import warnings
from collections.abc import Callable, Iterator
from types import ModuleType
from typing import Any

import pytest
from numpydoc.docscrape import NumpyDocString

ROOMS = ["formulas", "quantities", "gig", "sizing", "catalogue", "sheets", "practice"]
NUMBER = re.compile(r"\b(array_like|ndarray|float|int|number|whole number)s?\b")
UNIT = re.compile(r"\[(?!\d+\])[^\[\]]+\]")
FORMULA_SECTIONS = ["Returns", "Raises", "Examples", "References"]


def parse(text: str) -> NumpyDocString:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        return NumpyDocString(text)


def faults_of(function: Callable, name: str, published: bool = True, formula: bool = False) -> list[str]:
    """What the docstring of one function or method lacks, one line each."""
    text = inspect.getdoc(function)
    if not text:
        return [f"{name}: no docstring"]
    try:
        doc = parse(text)
    except (ValueError, UserWarning) as error:
        return [f"{name}: the docstring cannot be read: {str(error).splitlines()[0]}"]
    faults = [] if any(doc["Summary"]) else [f"{name}: no summary line"]
    documented = [one for parameter in doc["Parameters"] for one in parameter.name.split(", ")]
    signature = inspect.signature(function).parameters
    expected = [
        prefix_of(parameter) + key for key, parameter in signature.items() if key not in ("self", "cls")
    ]
    if documented != expected and (published or documented):
        faults.append(f"{name}: Parameters are {documented}, the signature has {expected}")
    if published and raises(function) and not doc["Raises"]:
        faults.append(f"{name}: it raises, and there is no Raises section")
    if formula:
        faults += [f"{name}: no {section} section" for section in FORMULA_SECTIONS if not doc[section]]
        if ">>>" not in "\n".join(doc["Examples"]):
            faults.append(f"{name}: no example to run")
        for entry in [*doc["Parameters"], *doc["Returns"]]:
            if NUMBER.search(entry.type) and not UNIT.search(" ".join(entry.desc)):
                faults.append(
                    f"{name}: {entry.name or 'what it returns'} has no unit in brackets, [-] for none"
                )
    return faults


def prefix_of(parameter: inspect.Parameter) -> str:
    return {inspect.Parameter.VAR_POSITIONAL: "*", inspect.Parameter.VAR_KEYWORD: "**"}.get(
        parameter.kind, ""
    )


def raises(function: Callable) -> bool:
    tree = ast.parse(textwrap.dedent(inspect.getsource(function)))
    return any(isinstance(node, ast.Raise) for node in ast.walk(tree))


def faults_of_class(cls: type, name: str, published: bool = True) -> list[str]:
    """What the docstrings of a class and of its public methods lack, one line each."""
    text = vars(cls).get("__doc__") or ""
    generated = text.startswith(f"{cls.__name__}(")  # what dataclass writes where nobody wrote anything
    faults = [] if text.strip() and not generated else [f"{name}: no docstring"]
    for key, member in vars(cls).items():
        if key.startswith("_"):
            continue
        if isinstance(member, property):
            faults += [] if inspect.getdoc(member) else [f"{name}.{key}: no docstring"]
        elif isinstance(member, (classmethod, staticmethod)):
            faults += faults_of(member.__func__, f"{name}.{key}", published)
        elif inspect.isfunction(member):
            faults += faults_of(member, f"{name}.{key}", published)
    return faults


def named(module: ModuleType) -> Iterator[tuple[str, Any, bool]]:
    """Functions and classes that are published in `__all__`, or defined here under a name without underscore."""
    listed = getattr(module, "__all__", [])
    for name, member in vars(module).items():
        here = getattr(member, "__module__", "") == module.__name__ and not name.startswith("_")
        if (inspect.isfunction(member) or inspect.isclass(member)) and (name in listed or here):
            yield name, member, name in listed


def modules(room: str) -> list[str]:
    try:
        package = importlib.import_module(f"gigsums.{room}")
    except ModuleNotFoundError:
        return []
    inner = pkgutil.walk_packages(getattr(package, "__path__", []), f"{package.__name__}.")
    names = [package.__name__, *(found.name for found in inner)]
    return [name for name in names if not name.rpartition(".")[2].startswith("_")]


@pytest.mark.parametrize("module", [name for room in ROOMS for name in modules(room)])
def test_public_docstrings_are_whole(module):
    faults = []
    for name, member, published in named(importlib.import_module(module)):
        where = f"{module}.{name}"
        if inspect.isclass(member):
            faults += faults_of_class(member, where, published)
        else:
            formula = published and module.startswith("gigsums.formulas")
            faults += faults_of(member, where, published, formula)
    assert not faults, "\n" + "\n".join(faults)


@pytest.mark.parametrize("module", modules("formulas"))
def test_examples_in_the_docstrings_of_formulas_hold(module):
    formulas = importlib.import_module(module)
    results = doctest.testmod(formulas)
    assert results.failed == 0
    assert bool(results.attempted) == hasattr(formulas, "__all__")


def test_the_formulas_are_looked_into():
    found = [one for module in modules("formulas") for one in named(importlib.import_module(module))]
    published = {name for name, _, listed in found if listed}
    assert len(published) > 60
    assert {"sum_levels", "dbu_to_volts", "speed_of_sound", "walk_gain"} <= published


# the checker itself


def whole(distance_m, scheme, temperature_c=20):
    """Time that sound takes.

    Parameters
    ----------
    distance_m : array_like
        Distance [m].
    scheme : str
        One of the names.
    temperature_c : array_like, optional
        Air temperature [°C].

    Returns
    -------
    float or ndarray
        Delay [ms].

    Raises
    ------
    ValueError
        If it is not a number.

    Examples
    --------
    >>> 1 + 1
    2

    References
    ----------
    .. [1] Definition.
    """


def altered(old: str, new: str):
    def copy(distance_m, scheme, temperature_c=20):
        raise ValueError

    assert old in whole.__doc__
    copy.__doc__ = inspect.getdoc(whole).replace(textwrap.dedent(old), new)
    return copy


RAISES = "Raises\n------\nValueError\n    If it is not a number.\n"


def test_a_whole_docstring_passes():
    assert faults_of(whole, "f", formula=True) == []


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ("Time that sound takes.", "", "f: no summary line"),
        ("distance_m : array_like", "distance : array_like", "the signature has ['distance_m', 'scheme'"),
        ("Distance [m].", "Distance.", "f: distance_m has no unit in brackets"),
        ("Distance [m].", "Distance [1].", "f: distance_m has no unit in brackets"),
        ("Delay [ms].", "Delay.", "f: what it returns has no unit in brackets"),
        ("Examples", "Notes", "f: no Examples section"),
        (">>> 1 + 1", "1 + 1", "f: no example to run"),
        ("References", "Notes", "f: no References section"),
        ("Raises", "Warns", "f: no Raises section"),
        ("Raises", "Warns", "f: it raises, and there is no Raises section"),
        ("Returns", "Yields", "f: no Returns section"),
        ("Examples", "Samples", "f: the docstring cannot be read: Unknown section Samples"),
    ],
)
def test_a_lack_is_named(old, new, fault):
    underline = {name: "-" * len(name) for name in (old, new)}
    function = altered(old, new)
    function.__doc__ = function.__doc__.replace(f"{new}\n{underline[old]}\n", f"{new}\n{underline[new]}\n")
    faults = faults_of(function, "f", formula=True)
    assert any(fault in one for one in faults), faults


def test_parameters_in_another_order_are_named():
    function = altered("Distance [m].", "Distance [m].")
    function.__doc__ = function.__doc__.replace("distance_m :", "x :").replace("scheme :", "distance_m :")
    function.__doc__ = function.__doc__.replace("x :", "scheme :")
    assert "the signature has" in faults_of(function, "f", formula=True)[0]


def test_other_rooms_need_no_units_and_no_references():
    def read(text, kind):
        """Read a text.

        Parameters
        ----------
        text, kind : str
            What and how.
        """

    assert faults_of(read, "f") == []
    assert faults_of(read, "f", formula=True) != []

    def bare():
        """Do nothing in particular."""

    assert faults_of(bare, "f") == []

    def silent():
        pass

    assert faults_of(silent, "f", published=False) == ["f: no docstring"]


def test_names_that_are_not_published_need_a_summary_and_nothing_wrong():
    def helper(text):
        """Read a text."""
        raise ValueError

    assert len(faults_of(helper, "f")) == 2
    assert faults_of(helper, "f", published=False) == []
    wrong = altered("scheme : str", "plan : str")
    assert "the signature has" in faults_of(wrong, "f", published=False)[0]


def test_classes_and_their_methods_are_looked_into():
    class Good:
        """A thing."""

        @property
        def size(self):
            """How large."""

        def grow(self):
            """Get larger."""

        def _hidden(self, by):
            pass

    class Bad:
        @property
        def size(self):
            pass

        def grow(self, by):
            """Get larger."""
            raise ValueError

    assert faults_of_class(Good, "Good") == []
    assert faults_of_class(Bad, "Bad") == [
        "Bad: no docstring",
        "Bad.size: no docstring",
        "Bad.grow: Parameters are [], the signature has ['by']",
        "Bad.grow: it raises, and there is no Raises section",
    ]
