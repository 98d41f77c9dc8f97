"""What is asked on entering: kept on the entry, read by the draw and the organiser."""

import json
from datetime import timedelta

import pytest

from society.audit.actions import deed
from society.audit.models import AuditLine
from society.entries.actions import entering, wishing
from society.entries.actions.wishing import Wished
from society.entries.models import Entry
from society.entries.queries import named_but_not_in, wishes_of
from society.entries.rules.extras import buggies, counts_of
from society.entries.rules.words import Wishes
from society.web.refusals import BadInput, NotYours, WrongState
from society.web.who import Who
from tests.factories.entries import entered
from tests.factories.fixtures import saturday
from tests.factories.members import PlayerFactory

pytestmark = pytest.mark.django_db

EVERYTHING = "meal diet buggy partner time"


def oneself(player):
    return Who(account="acc", players=(player.public_id,), player=player.public_id, name="A. B")


def asking(**values):
    return saturday(**({"asks": EVERYTHING, "meals": "Soup\nPie"} | values))


def audited():
    return " ".join(AuditLine.objects.values_list("changes", flat=True))


class TestAsked:
    def test_with_the_entry_in_one_deed(self, at):
        fixture, player = asking(), PlayerFactory()
        other = entered(fixture)
        wished = Wished(
            meal="Pie",
            diet="no nuts",
            buggy_with=other.player,
            partner=other.player,
            time_wish="later",
        )
        entry = entering.enter(
            fixture=fixture, player=player, wished=wished, by=oneself(player), at=at
        )
        assert AuditLine.objects.count() == 1
        assert wishes_of(fixture) == {
            entry.pk: Wishes("Pie", "no nuts", True, (other.pk,), (other.pk,), "later", True),
            other.pk: Wishes(buggy=True, buggy_with=(entry.pk,)),
        }

    def test_what_is_not_asked_is_not_kept(self, at):
        fixture, player = asking(asks="time"), PlayerFactory()
        wished = Wished(meal="Pie", diet="no nuts", buggy=True, time_wish="earlier")
        entry = entering.enter(
            fixture=fixture, player=player, wished=wished, by=oneself(player), at=at
        )
        assert wishes_of(fixture) == {entry.pk: Wishes(earlier_or_later="earlier", answered=True)}
        assert Entry.objects.get().diet == ""

    @pytest.mark.parametrize(
        ("wrong", "field"),
        [
            ({"meal": "Caviar"}, "meal"),
            ({"diet": "x" * 201}, "diet"),
            ({"time_wish": "noon"}, "time_wish"),
        ],
    )
    def test_what_cannot_be_asked_for_keeps_nothing(self, wrong, field, at):
        fixture, player = asking(), PlayerFactory()
        with pytest.raises(BadInput) as refused:
            entering.enter(
                fixture=fixture, player=player, wished=Wished(**wrong), by=oneself(player), at=at
            )
        assert refused.value.field == field
        assert not Entry.objects.exists()

    def test_nobody_names_themselves(self, at, machine):
        entry = entered(asking())
        with pytest.raises(BadInput, match="somebody else"):
            wishing.change_wishes(
                entry=entry, wished=Wished(partner=entry.player), by=machine, at=at
            )

    def test_the_audit_never_holds_a_diet(self, at, machine):
        entry = entered(asking())
        for diet in ("no nuts", "no milk", ""):
            wishing.change_wishes(
                entry=entry, wished=Wished(meal="Soup", diet=diet), by=machine, at=at
            )
        assert "nuts" not in audited()
        assert "milk" not in audited()
        last = json.loads(AuditLine.objects.order_by("-number")[0].changes)
        assert {"about": f"entry:{entry.public_id}", "new": {"diet": "changed"}, "old": {}} in last

    def test_whoever_is_named_and_not_in_is_told_to_the_organiser(self, at, machine):
        entry, other = entered(asking()), PlayerFactory(name="Not In")
        wishing.change_wishes(
            entry=entry, wished=Wished(buggy_with=other, partner=other), by=machine, at=at
        )
        wishes = wishes_of(entry.fixture)[entry.pk]
        assert (wishes.buggy, wishes.buggy_with, wishes.partners) == (True, (), ())
        assert [(one.other.name, one.buggy) for one in named_but_not_in(entry.fixture)] == [
            ("Not In", True),
            ("Not In", False),
        ]


class TestChanged:
    def test_until_entries_close_by_the_player_and_then_by_an_organiser(self, at, machine):
        closes = at + timedelta(hours=1)
        entry = entered(asking(entries_close_at=closes))
        me = oneself(entry.player)
        wishing.change_wishes(entry=entry, wished=Wished(meal="Soup"), by=me, at=at)
        with pytest.raises(WrongState, match="closed"):
            wishing.change_wishes(entry=entry, wished=Wished(meal="Pie"), by=me, at=closes)
        wishing.change_wishes(entry=entry, wished=Wished(meal="Pie"), by=machine, at=closes)
        assert Entry.objects.get().meal == "Pie"

    def test_by_a_guest_s_host_and_nobody_else(self, at):
        host = PlayerFactory()
        entry = entered(asking(), kind="guest")
        Entry.objects.update(host=host)
        wishing.change_wishes(entry=entry, wished=Wished(meal="Soup"), by=oneself(host), at=at)
        with pytest.raises(NotYours):
            wishing.change_wishes(
                entry=entry, wished=Wished(meal="Pie"), by=oneself(PlayerFactory()), at=at
            )

    def test_not_after_withdrawing(self, at):
        entry = entered(asking(), step="withdrawn")
        with pytest.raises(WrongState, match="not entered any more"):
            wishing.change_wishes(entry=entry, wished=Wished(), by=oneself(entry.player), at=at)


class TestForgotten:
    def test_diet_and_wishes_go_with_the_person(self, at, machine):
        fixture = asking()
        entry, other = entered(fixture), entered(fixture)
        wishing.change_wishes(
            entry=entry, wished=Wished(meal="Pie", diet="no nuts"), by=machine, at=at
        )
        wishing.change_wishes(
            entry=other,
            wished=Wished(buggy_with=entry.player, partner=entry.player),
            by=machine,
            at=at,
        )
        with deed(by=machine, at=at, what="made anonymous", about="player:x") as d:
            wishing.forget_wishes(d, entry.player)
        kept = Entry.objects.get(pk=entry.pk)
        assert (kept.meal, kept.diet) == ("", "")
        rest = Entry.objects.get(pk=other.pk)
        assert (rest.buggy, rest.buggy_with, rest.partner) == (True, None, None)


class TestCounts:
    """The numbers a venue asks for are common practice, no source."""

    def test_nineteen_play_and_seventeen_eat(self):
        """Two of nineteen do not eat: 19 golfers and 17 meals (story 19's last line)."""
        wishes = {n: Wishes(meal="" if n in (3, 9) else "yes") for n in range(19)}
        counts = counts_of(wishes)
        assert (counts.heads, counts.eating) == (19, 17)

    def test_dishes_most_asked_for_first(self):
        meals = ["Pie", "Soup", "Pie", ""]
        counts = counts_of({n: Wishes(meal=meal) for n, meal in enumerate(meals)})
        assert counts.meals == (("Pie", 2), ("Soup", 1))

    def test_who_was_not_asked_yet_is_told_from_who_wants_nothing(self, at, machine):
        fixture = asking()
        entered(fixture)
        wishing.change_wishes(entry=entered(fixture), wished=Wished(), by=machine, at=at)
        counts = counts_of(wishes_of(fixture))
        assert (counts.heads, counts.eating, counts.unasked) == (2, 0, 1)

    def test_diets_are_counted(self):
        assert counts_of({1: Wishes(diet="no nuts"), 2: Wishes()}).diets == 1

    @pytest.mark.parametrize(
        ("pairs", "needed"),
        [
            ({1: (), 2: ()}, 2),  # each alone
            ({1: (2,), 2: (1,)}, 1),  # two who share
            ({1: (2, 3), 2: (1,), 3: (1,)}, 2),  # both would share with one
            ({1: (2,), 2: (1, 3), 3: (2, 4), 4: (3,)}, 2),  # a row of four is two pairs
            ({2: (1, 3), 1: (2,), 3: (2, 4), 4: (3,)}, 2),
        ],
    )
    def test_two_to_a_buggy(self, pairs, needed):
        wishes = {n: Wishes(buggy=True, buggy_with=others) for n, others in pairs.items()}
        assert len(buggies(wishes)) == needed
        assert sorted(n for buggy in buggies(wishes) for n in buggy) == sorted(pairs)
