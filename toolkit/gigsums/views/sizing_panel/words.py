"""What the sizing panel says: plain values for its view, made from a sheet."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from gigsums.sizing import Change, Fit, Ledger, together

from ..moved import state_in_words, table_label
from .fields import KNOWN, LISTS, PEOPLE, PLACES, TABLES, TALKBACK, Group, Item
from .places import called
from .sheet import Sheet
from .typed import text_of


def described() -> dict[str, Any]:
    """What the view needs to know of lists, tables and their fields, once."""
    return {
        "lists": [_described(group) for group in LISTS.values()],
        "tables": [_described(group) for group in TABLES.values()],
        "talkback": _item(TALKBACK),
    }


def answer(sheet: Sheet) -> dict[str, Any]:
    """The last good answer in words: verdict, ledgers, changes, cares."""
    fit = sheet.fit
    if fit is None:
        return {
            "verdict": "Nothing counted yet",
            "because": "",
            "ledgers": [],
            "idle": "",
            "changes": [],
            "cares": [],
        }
    asked = [row for row in fit.ledgers if row.need or row.state == "short"]
    idle = [f"{row.label} {row.have:g}" for row in fit.ledgers if row not in asked and row.have]
    verdict = fit.in_words if fit.proven else f"{fit.in_words} (not proven: the solver ran out of time)"
    return {
        "verdict": f"{verdict[0].upper()}{verdict[1:]}",
        "because": _because(fit),
        "ledgers": [_ledger(row, table_label(row, fit.ledgers)) for row in asked],
        "idle": ", ".join(idle),
        "changes": [_change(change, said) for change, said in together(fit.changes)],
        "cares": [care.text() for care in fit.cares if care not in fit.barred],
    }


def filled(sheet: Sheet) -> dict[str, Any]:
    """What stands in each field, and what is wrong beside it."""
    table = sheet.table
    wrong = (sheet.trouble.key, sheet.trouble.said) if sheet.trouble else ("", "")
    lists = {
        key: [
            _entry(group, each, f"{key}.{called(each, n)}", wrong)
            for n, each in enumerate(_many(table.get(key)))
        ]
        for key, group in LISTS.items()
    }
    tables = {key: _entry(group, _one(table.get(key)), key, wrong) for key, group in TABLES.items()}
    return {"lists": lists, "tables": tables, "talkback": text_of(TALKBACK, table.get(TALKBACK.key))}


def names(table: Mapping[str, Any]) -> dict[str, list[str]]:
    """The names that other fields of the gig may point to."""
    of = {key: [str(each["name"]) for each in _many(table.get(key)) if each.get("name")] for key in LISTS}
    crew = [str(each["name"]) for each in _many(_one(table.get("crew")).get("people")) if each.get("name")]
    sources = [
        str(source["name"])
        for player in _many(table.get("performer"))
        for source in _many(player.get("sources"))
        if source.get("name")
    ]
    places = ["mains", *of["mix"], *of["performer"], *of["zone"], *of["feed"]]
    return {
        PEOPLE: list(dict.fromkeys([*of["performer"], *crew])),
        PLACES: list(dict.fromkeys(places)),
        KNOWN: list(dict.fromkeys([*of["performer"], *sources, *of["line"]])),
    }


def _because(fit: Fit) -> str:
    if fit.barred:
        said = "; ".join(reason.text() for reason in fit.barred)
        return f"{said[0].upper()}{said[1:]}."
    short = [row.label for row in fit.ledgers if row.state == "short" and row.blocks]
    return f"As asked it is short of {', '.join(short)}." if short else ""


def _ledger(row: Ledger, label: str) -> dict[str, Any]:
    whole = max(row.need, row.have) or 1
    left = f"{abs(row.margin):g}"
    state = state_in_words(row)
    words = {
        "short": f"short by {left}",
        "bring more": f"short by {left}: bring more",
        "no spare": f"{left} left of {row.spare_wanted:g} wanted: met without spare",
        "ok": f"{left} left: met",
    }[state]
    return {
        "label": label,
        "count": f"{row.need:g} of {row.have:g}",
        "words": words,
        "state": state,
        "need": row.need / whole,
        "have": row.have / whole,
        "spare": max(0.0, row.have - row.spare_wanted) / whole if row.spare_wanted else None,
        "why": [
            f"Need {row.need:g}, have {row.have:g}, spare wanted {row.spare_wanted:g}.",
            *(reason.text() for reason in row.reasons if reason.terms or reason.result),
        ],
    }


def _change(change: Change, text: str) -> str:
    points = "1 point" if change.points == 1 else f"{change.points} points"
    lost = f"; lost: {change.loses}" if change.loses else ""
    return f"{text[0].upper()}{text[1:]} ({points}{lost})"


def _described(group: Group) -> dict[str, Any]:
    return {
        "key": group.key,
        "title": group.title,
        "one": group.one,
        "items": [_item(item) for item in group.items],
        "named": any(item.key == "name" for item in group.items),
        "inner": _described(group.inner) if group.inner else None,
    }


def _item(item: Item) -> dict[str, Any]:
    usual = text_of(item, list(item.usual) if isinstance(item.usual, tuple) else item.usual)
    return {
        "key": item.key,
        "path": list(item.path),
        "label": f"{item.label} ({item.unit})" if item.unit else item.label,
        "kind": item.kind,
        "options": list(item.options),
        "usual": usual,
        "behind": item.behind,
    }


def _entry(group: Group, said: Mapping[str, Any], path: str, wrong: tuple[str, str]) -> dict[str, Any]:
    key, sentence = wrong
    errors = {}
    values = {}
    for n, item in enumerate(group.items):
        values[item.key] = text_of(item, _at(said, item.path))
        full = f"{path}.{item.key}"
        if key == full or key.startswith(f"{full}.") or (key == path and n == 0):
            errors[item.key] = sentence
    inner = group.inner
    parts = [] if inner is None else _many(said.get(inner.key))
    return {
        "values": values,
        "errors": errors,
        "wrong": bool(key) and (key == path or key.startswith(f"{path}.")),
        "title": str(said.get("name") or ""),
        "note": _note(group, said),
        "inner": [
            _entry(inner, each, f"{path}.{inner.key}.{called(each, n)}", wrong)
            for n, each in enumerate(parts)
            if inner
        ],
    }


def _note(group: Group, said: Mapping[str, Any]) -> str:
    """An entry in a few words, for when it is folded."""
    words = [str(said["name"])] if group.key in TABLES and said.get("name") else []
    for item in group.items:
        value = _at(said, item.path)
        if item.key == "through":
            words.append(str(value or item.usual))
        elif value not in (None, item.usual, []) and item.key not in ("name", "notes"):
            words += _said(item, value)
    if group.inner is not None:
        number = len(_many(said.get(group.inner.key)))
        plural = "people" if group.inner.one == "person" else f"{group.inner.one}s"
        words += (
            [f"{number} {group.inner.one if number == 1 else plural}"]
            if number or group.key == "performer"
            else []
        )
    return ", ".join(words)[:160]


def _said(item: Item, value: Any) -> list[str]:
    if item.kind == "yes":
        return [item.label.lower()] if value is True else []
    if item.kind == "maybe":
        return ["stereo" if value else "mono"]
    if item.kind == "names":
        listed = " and ".join(map(str, value)) if isinstance(value, list) else str(value)
        return [f"{_BEFORE[item.key]} {listed}"]
    if item.kind == "whole":
        return [f"{item.label.lower()} {value}"]
    if item.kind in ("number", "numbers"):
        return []
    if item.key == "phantom":
        return [f"48 V {value}"]
    if item.key == "keep":
        return [{"want": "wanted", "nice": "nice to have"}.get(str(value), str(value))]
    return [str(text_of(item, value))] if not item.behind or item.key in ("count", "level") else []


_BEFORE = {"for": "for", "heard_in": "heard in", "may": "agreed to", "without": "without"}


def _at(said: Any, path: tuple[str, ...]) -> Any:
    for part in path:
        said = said.get(part) if isinstance(said, Mapping) else None
    return said


def _many(said: Any) -> list[Mapping[str, Any]]:
    return [_one(each) for each in said] if isinstance(said, list) else []


def _one(said: Any) -> Mapping[str, Any]:
    return said if isinstance(said, Mapping) else {}
