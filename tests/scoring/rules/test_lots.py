"""Lots that can be drawn again; the digests are worked out with hashlib, outside our code."""

import hashlib
from collections import Counter

from scoring.rules.lots import drawn


def test_the_order_is_that_of_the_digests() -> None:
    keys = ["a", "b", "c", "d"]
    digests = {hashlib.sha256(b"7f|" + key.encode()).hexdigest(): key for key in keys}
    assert drawn("7f", keys) == [digests[digest] for digest in sorted(digests)]


def test_over_many_seeds_everybody_comes_first_about_as_often() -> None:
    firsts = Counter(drawn(str(seed), ["a", "b", "c"])[0] for seed in range(3000))
    assert all(900 < count < 1100 for count in firsts.values())
