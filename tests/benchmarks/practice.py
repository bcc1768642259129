"""Prints how much processor time it takes to draw and to mark sheets of ten questions, and how that grows. Nothing is asserted."""

from __future__ import annotations

import sys
import time

from gigsums.practice import TOPICS, mark, problem


def seconds(work) -> float:
    start = time.process_time()
    work()
    return time.process_time() - start


def main(sheets: int = 300) -> None:
    topics = list(TOPICS)
    for topic in topics:
        problem(topic, "warm")
    drawn = {}
    for count in (sheets // 10, sheets):
        asked = [(topics[n % len(topics)], n) for n in range(10 * count)]
        problems: list = []
        drawing = seconds(lambda a=asked, p=problems: p.extend(problem(*each) for each in a))
        answers = [str(each.answer) for each in problems]
        marking = seconds(lambda p=problems, t=answers: [mark(*pair) for pair in zip(p, t, strict=True)])
        drawn[count] = drawing, marking
        print(f"{count:5d} sheets of 10: drawn in {drawing:6.2f} s, marked in {marking:6.3f} s (one core)")
    few, many = drawn[sheets // 10], drawn[sheets]
    print(
        f"ten times the sheets: {many[0] / few[0]:.1f} times the drawing, {many[1] / few[1]:.1f} times the marking"
    )
    print("slowest topics, ms a problem:")
    each = {topic: seconds(lambda t=topic: [problem(t, n) for n in range(30)]) / 30 for topic in topics}
    for topic in sorted(each, key=each.get, reverse=True)[:6]:
        print(f"  {1000 * each[topic]:6.2f}  {topic}")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
