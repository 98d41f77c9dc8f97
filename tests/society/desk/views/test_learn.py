"""The newcomer's page: one's own shots on a card, whatever is asked for, and a fixture's own."""

import re

import pytest
import time_machine

from society.courses.models import Course, TeeHole
from tests.conftest import signed_in
from tests.factories.courses import INDEXES, PARS, TeeFactory, add_category, rated_tee
from tests.factories.entries import entered, handicap
from tests.factories.fixtures import saturday
from tests.factories.members import AccountFactory, PlayerFactory
from tests.society.desk.test_lesson_papers import read_back

pytestmark = pytest.mark.django_db
LEARN = "/learn/"


@pytest.fixture(autouse=True)
def _clock(at):
    with time_machine.travel(at, tick=False):
        yield


def text(response):
    bare = re.sub(r"<span class=\"word-note\".*?</span>|<[^>]+>", " ", response.content.decode())
    return " ".join(bare.split())


def table(response):
    """Hole → (par, shots, what the cells say) from the table of the page."""
    page = response.content.decode()
    found = {}
    for row in re.findall(r"<tr><th class=\"m\" scope=\"row\">.*?</tr>", page, re.DOTALL):
        hole = int(re.search(r'class="n">(\d+)<', row)[1])
        said = re.search(r'aria-label="(gives )?(\d+) ', row)
        shots = 0 if said is None else int(said[2]) * (-1 if said[1] else 1)
        cells = re.findall(r'<td class="c g[^>]*>(.*?)</td>', row, re.DOTALL)
        shown = [re.sub(r"<[^>]+>|no score", "", cell).strip() for cell in cells]
        par = int(re.search(r'<td class="c">(\d)</td>', row)[1])
        found[hole] = (par, shots, [cell.split("not to be")[0] for cell in shown])
    return found


class TestLearn:
    def test_ones_own_record_on_the_next_card(self, member, player):
        tee = rated_tee()
        saturday(tee=tee)
        handicap(player, "24.6")
        answer = member.get(LEARN)
        assert answer.status_code == 200
        page = text(answer)
        assert f"For Ivo Marrable, at {tee.course.name}" in page
        # Rules of Handicapping 2024, Rules 6.1a and 6.2a, by hand: 24.6 x 120/113 - 1.9 = 24.22;
        # 95 % of it is 23.01
        assert "You play off 23 , so 23 shots" in page
        assert "and a second on the 5 hardest: stroke index 1 to 5" in page
        rows = table(answer)
        assert len(rows) == 18
        # hole 1: par 4, stroke index 7, one shot; hole 5: par 4, stroke index 1, two shots
        assert rows[1] == (4, 1, ["1–2", "3", "4", "5", "6", "7 or more"])
        assert rows[5] == (4, 2, ["1–3", "4", "5", "6", "7", "8 or more"])
        assert "What 36 points mean:" in page
        assert "make 95 strokes" in page

    def test_any_handicap_card_and_format(self, member):
        tee = rated_tee()
        card = f"{tee.public_id}.men"
        answer = member.get(LEARN, {"card": card, "handicap": "+3", "kind": "playing"})
        rows = table(answer)
        # a plus player gives back from stroke index 18 (Appendix C): holes 16, 7 and 11
        assert [hole for hole, row in rows.items() if row[1] < 0] == [7, 11, 16]
        assert rows[16] == (3, -1, ["–", "–", "1", "2", "3", "4 or more"])
        medal = member.get(
            LEARN, {"card": card, "handicap": "10", "kind": "playing", "format": "medal"}
        )
        assert "hole out everywhere" in text(medal)
        assert "gross less 10" in text(medal)
        assert "82 strokes in all" in text(medal)  # par 72 and 10
        par = member.get(
            LEARN, {"card": card, "handicap": "18", "kind": "playing", "format": "par"}
        )
        assert table(par)[1] == (4, 1, ["1–4", "5", "6 or more"])

    @pytest.mark.parametrize("format_", ["modified_stableford", "maximum_score"])
    def test_the_other_formats_have_their_page(self, member, format_):
        rated_tee()
        asked = {"handicap": "20", "kind": "course", "format": format_}
        answer = member.get(LEARN, asked)
        assert answer.status_code == 200
        assert len(table(answer)) == 18

    def test_a_course_of_nine_holes_is_told_over_nine(self, member):
        tee = TeeFactory(course=Course.objects.create(name="Millpond", holes=9))
        TeeHole.objects.bulk_create(
            TeeHole(tee=tee, category="men", number=n, par=par, stroke_index=index)
            for n, (par, index) in enumerate(zip(PARS[:9], INDEXES[:9], strict=True), 1)
        )
        answer = member.get(LEARN, {"handicap": "11", "kind": "playing"})
        assert len(table(answer)) == 9
        assert sum(row[1] for row in table(answer).values()) == 11
        assert "What 18 points mean:" in text(answer)

    def test_without_a_record_the_page_asks_for_a_handicap(self, member):
        rated_tee()
        answer = member.get(LEARN)
        assert answer.status_code == 200
        assert "Choose a course, a tee and a handicap" in text(answer)
        assert not table(answer)

    def test_without_a_course_it_says_so(self, member):
        assert "No course yet" in text(member.get(LEARN))

    @pytest.mark.parametrize(
        ("asked", "said"),
        [
            ({"handicap": "-3"}, "has a minus sign"),
            ({"handicap": "much"}, "is no handicap"),
            ({"handicap": "55"}, "54"),
            ({"handicap": "12", "kind": "tiger"}, "not one of the choices"),
            ({"handicap": "12", "card": "none.men"}, "not one of the choices"),
            ({"handicap": "12", "format": "skins"}, "not one of the choices"),
            ({"handicap": "12", "holes": "7"}, "not one of the choices"),
            ({"handicap": "1" * 40}, "at most 10"),
        ],
    )
    def test_what_cannot_be_is_said_beside_the_field(self, member, asked, said):
        rated_tee()
        answer = member.get(LEARN, asked)
        assert answer.status_code == 422
        assert said in text(answer)

    def test_an_index_wants_a_rated_tee(self, member):
        tee = rated_tee(rating=None)
        answer = member.get(LEARN, {"card": f"{tee.public_id}.men", "handicap": "12.0"})
        assert answer.status_code == 422
        assert "an index cannot be converted" in text(answer)

    def test_a_couple_chooses_for_whom(self, society):
        nan, piet = PlayerFactory(name="Nan Under"), PlayerFactory(name="Piet Under")
        handicap(nan, "10.0")
        handicap(piet, "20.0")
        rated_tee()
        browser = signed_in(AccountFactory(players=[nan, piet]))
        assert "For Nan Under" in text(browser.get(LEARN))
        assert "For Piet Under" in text(browser.get(LEARN, {"player": piet.public_id}))

    def test_women_see_the_card_of_women_first(self, society):
        tee = rated_tee()
        add_category(tee)
        player = PlayerFactory(name="Una Under", category="women")
        handicap(player, "12.0")
        page = signed_in(AccountFactory(players=[player])).get(LEARN).content.decode()
        assert f'<option value="{tee.public_id}.women" selected' in page

    def test_a_word_is_explained_where_it_first_appears(self, member, player):
        rated_tee()
        handicap(player, "24.6")
        page = member.get(LEARN).content.decode()
        for word in ("shots", "par", "points", "stroke index", "pick up", "marker", "gross"):
            assert (
                page.count(f'class="word-ask" popovertarget="word-{word.replace(" ", "-")}"') == 1
            )


class TestHowScored:
    def test_a_fixture_tells_its_own_terms_and_marker(self, member, player, at, machine):
        fixture = saturday(name="Lantern Plate", terms='{"allowance":100,"format":"par"}')
        handicap(player, "18.0")
        entry = entered(fixture, index=None, name="Odd Other")
        entry.player = player
        entry.save()
        answer = member.get(f"/fixtures/{fixture.public_id}/how-scored/")
        page = text(answer)
        assert "halves it" in page
        # 18.0 x 120/113 - 1.9 = 17.2 (Rule 6.1a); all of it
        assert "You play off 17" in page
        assert table(answer)[16][1] == 0

    def test_the_fixture_leads_there(self, member):
        fixture = saturday()
        page = member.get(f"/fixtures/{fixture.public_id}/").content.decode()
        assert f'href="/fixtures/{fixture.public_id}/how-scored/"' in page

    def test_one_who_is_not_in_reads_the_terms(self, member):
        fixture = saturday()
        page = text(member.get(f"/fixtures/{fixture.public_id}/how-scored/"))
        assert "95% of the Course Handicap" in page
        assert "None of your players is in this field" in page

    def test_a_couple_sees_both_without_a_place_named_twice(self, society):
        fixture = saturday()
        both = [entered(fixture, index=f"{n}0.0", name=f"Under Both{n}").player for n in (1, 2)]
        browser = signed_in(AccountFactory(players=both))
        answer = browser.get(f"/fixtures/{fixture.public_id}/how-scored/")
        page = answer.content.decode()
        assert page.count("Where your shots fall") == 2
        ids = re.findall(r'\bid="([^"]+)"', page)
        assert len(ids) == len(set(ids))

    def test_no_such_fixture(self, member, outsider):
        assert member.get("/fixtures/none/how-scored/").status_code == 404
        assert outsider.get(f"/fixtures/{saturday().public_id}/how-scored/").status_code == 404


class TestPaper:
    @pytest.mark.pdf
    def test_one_sheet_for_what_was_chosen(self, member, player):
        rated_tee()
        handicap(player, "24.6")
        for address in ("/learn/sheet.pdf", "/learn/shots.pdf", "/learn/practice.pdf"):
            answer = member.get(address)
            assert answer.status_code == 200
            assert answer.content.startswith(b"%PDF")
            assert answer.headers["Content-Disposition"].startswith('inline; filename="')

    @pytest.mark.pdf
    def test_the_shots_of_every_handicap_want_none(self, member):
        tee = rated_tee(rating=None)
        answer = member.get("/learn/shots.pdf", {"card": f"{tee.public_id}.men", "handicap": "-3"})
        assert answer.content.startswith(b"%PDF")
        assert member.get("/learn/shots.pdf", {"card": "none.men"}).status_code == 422

    @pytest.mark.parametrize("what", ["sheet.pdf", "practice.pdf"])
    def test_what_cannot_be_is_said_on_the_page(self, member, what):
        rated_tee()
        answer = member.get(f"/learn/{what}", {"handicap": "-3"})
        assert answer.status_code == 422
        assert "has a minus sign" in text(answer)
        assert member.get(f"/learn/{what}").status_code == 422  # no record, no handicap given

    @pytest.mark.pdf
    @pytest.mark.pdftotext
    def test_officers_print_the_field_and_a_player_the_own_sheet(
        self, secretary, member, player, society, tmp_path
    ):
        fixture = saturday(name="Lantern Plate")
        entry = entered(fixture, index=None)
        entry.player = player
        entry.save()
        handicap(player, "18.0")
        for n in range(3):
            entered(fixture, index=f"{n}.0")
        address = f"/fixtures/{fixture.public_id}/how-scored.pdf"
        assert len(read_back(secretary.get(address).content, tmp_path)) == 4
        (own,) = read_back(member.get(address).content, tmp_path)
        assert player.name in own

    def test_nobody_to_print_for(self, member, secretary):
        address = f"/fixtures/{saturday().public_id}/how-scored.pdf"
        for browser in (member, secretary):
            answer = browser.get(address)
            assert answer.status_code == 409
            assert "Nobody to print for" in text(answer)
