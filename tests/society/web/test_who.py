"""Who acts, as a plain value."""

import json

import pytest

from society.web.who import KEEPERS, NOBODY, OFFICERS, ORGANISERS, Who


def test_nobody_is_not_signed_in_and_may_nothing():
    assert not NOBODY.signed_in
    assert not NOBODY.may(OFFICERS)
    assert not NOBODY.is_officer


def test_a_command_acts_in_the_role_system():
    who = Who.command("restore")
    assert who.may(KEEPERS)
    assert who.may(ORGANISERS)
    assert json.loads(who.as_json())["command"] == "restore"


def test_acting_for_a_player_needs_that_player():
    who = Who(account="a", players=("nan", "piet"))
    assert who.acting_as("piet").player == "piet"
    with pytest.raises(ValueError, match="does not act"):
        who.acting_as("ivo")


def test_is_player_never_takes_none_for_an_answer():
    assert not Who(account="a", players=("nan",)).is_player(None)
