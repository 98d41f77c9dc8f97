"""One player: name, handicap record, fixtures; contact data for officers and the player."""

from django.http import HttpResponse

from society.desk.queries.forgetting import former_name
from society.desk.queries.mine import day_of
from society.desk.queries.pictures import points_picture
from society.desk.queries.players import fixtures_of, handicap_lines
from society.desk.queries.record import own_figures, record_page
from society.desk.queries.record_way import way_of
from society.entries.access import RECORD_READERS
from society.entries.queries import records
from society.fixtures.forms.season import ReasonForm
from society.fixtures.queries import present_season
from society.members.access import may_see_contact, player_to_read
from society.web import clock
from society.web.access import SIGNED_IN, access
from society.web.pages import show
from society.web.request import Request
from society.web.who import HANDICAPPERS, KEEPERS, OFFICERS


@access(SIGNED_IN, "GET")
def player(request: Request, public_id: str) -> HttpResponse:
    found = player_to_read(request.who, public_id)
    # where points are lost is between the player and the officers
    own = request.who.is_player(found.public_id) or request.who.may(OFFICERS)
    today = day_of(clock.now())
    season = present_season(today)
    context = {
        "player": found,
        "season": season,
        "used": own_figures(season, [found], today) if season else [],
        "mine": request.who.is_player(found.public_id),
        "contact": may_see_contact(request.who, found),
        "keeps": request.who.may(KEEPERS),
        "handicaps": request.who.may(HANDICAPPERS),
        "lines": handicap_lines(found),
        "way": way_of(record_page(found, today)),
        "holes": points_picture(found) if own else None,
        "fixtures": fixtures_of(found),
        "records": records(player=found)
        if request.who.may(RECORD_READERS) or request.who.is_player(found.public_id)
        else [],
        "forget": ReasonForm(auto_id="forget-%s")
        if request.who.may(KEEPERS) and found.name != former_name(found)
        else None,
        "accounts": found.accounts.order_by("name") if request.who.may(KEEPERS) else [],
    }
    return show(request, "desk/player.html", context)
