"""Signing in and out, one's account, invitations by link, offices, what is kept."""

from datetime import timedelta
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import authenticate, login, logout, update_session_auth_hash
from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme

from society.members import forms, queries
from society.members.access import office_to_run, own_account, player_to_run
from society.members.actions import accounts as account_deeds
from society.members.actions import offices as office_deeds
from society.members.rules import INVITATION_DAYS, LETTERS_KEPT_DAYS, LINK_MINUTES
from society.web import clock
from society.web.access import PUBLIC, SIGNED_IN, access
from society.web.pages import done, show
from society.web.refusals import Missing, Refusal
from society.web.request import Request
from society.web.who import KEEPERS, ROLE_NAMES

SLOWED = (
    "There were too many wrong passwords for this address. Wait an hour, or ask an officer of "
    "the society for a new invitation link; the link works at once."
)
WRONG = "This e-mail and this password do not belong together."
SIGNING_IN = "django.contrib.auth.backends.ModelBackend"


def _posted(request: Request) -> QueryDict | None:
    """What was sent to a form; None when its page is only opened."""
    return request.POST if request.method == "POST" else None


def _next(request: Request) -> str:
    """Where to go after signing in: an address of our own host, else the season."""
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    ours = url_has_allowed_host_and_scheme(
        wanted, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    # Without the slash Django would take a word for the name of a view.
    return wanted if ours and wanted.startswith("/") else ""


@access(PUBLIC, "GET", "POST")
def sign_in(request: Request) -> HttpResponse:
    """E-mail and password. Before there is a society it says how one is started."""
    if queries.the_society() is None:
        return show(request, "members/no_society.html")
    if request.who.signed_in and request.method != "POST":
        return redirect(_next(request) or "/")
    form = forms.SignInForm(_posted(request))
    status = 200
    if request.method == "POST":
        status = _try_sign_in(request, form)
        if status == 302:
            return redirect(_next(request) or "/")
    context = {"form": form, "next": _next(request), "sends": settings.SENDS_EMAIL}
    return show(request, "members/sign_in.html", context, status=status)


def _try_sign_in(request: Request, form: forms.SignInForm) -> int:
    """302 when signed in, else the status of the form with what is wrong on it."""
    if not form.is_valid():
        return 422
    email, now = form.cleaned_data["email"], clock.now()
    if queries.sign_in_is_slowed(email, now):
        form.add_error(None, SLOWED)
        return 429
    account = authenticate(request, username=email, password=form.cleaned_data["password"])
    if account is None:
        account_deeds.note_failed_sign_in(email=email, at=now)
        form.add_error(None, WRONG)
        return 422
    account_deeds.forget_failed_sign_ins(email=email)
    login(request, account)
    return 302


@access(PUBLIC, "GET", "POST")
def link_ask(request: Request) -> HttpResponse:
    """A link in place of the password: one answer, whether the address is known or not."""
    form = forms.LinkForm(_posted(request))
    sends = settings.SENDS_EMAIL
    asked = sends and request.method == "POST" and form.is_valid()
    if asked:
        account_deeds.ask_for_link(email=form.cleaned_data["email"], by=request.who, at=clock.now())
    context = {"form": form, "sends": sends, "asked": asked, "minutes": LINK_MINUTES}
    refused = request.method == "POST" and not asked
    return show(request, "members/link_ask.html", context, status=422 if refused else 200)


@access(PUBLIC, "GET", "POST")
def link(request: Request, secret: str) -> HttpResponse:
    """GET shows a button and spends nothing: previews of mail open links. POST signs in."""
    found = queries.open_link(secret, clock.now())
    if found is not None and request.method == "POST":
        try:
            mine = account_deeds.spend_link(secret=secret, by=request.who, at=clock.now())
        except Missing:
            found = None
        else:
            login(request, mine, backend=SIGNING_IN)
            messages.success(request, "You are signed in.")
            return redirect("/")
    status = 404 if found is None else 200
    context = {"account": found.account if found else None}
    return show(request, "members/link.html", context, status=status)


@access(SIGNED_IN, "POST")
def sign_out(request: Request) -> HttpResponse:
    logout(request)
    messages.success(request, "You are signed out.")
    return redirect("members:sign_in")


@access(SIGNED_IN, "GET")
def account(request: Request) -> HttpResponse:
    mine = own_account(request.who)
    day = queries.society_day(clock.now())
    context = {
        "account": mine,
        "players": queries.players_of(mine),
        "offices": [
            {"title": ROLE_NAMES[office.role], "since": office.starts}
            for office in queries.offices_of(mine, day)
        ],
        "calendar": _calendar(request, mine),
    }
    return show(request, "members/account.html", context)


def _calendar(request: Request, mine: Any) -> dict[str, str]:
    """The secret addresses for calendar programs; nothing while there are none."""
    secret = queries.calendar_secret(mine)
    if not secret:
        return {}
    pages = {"own": "desk:calendar_own", "society": "desk:calendar_society"}
    return {
        name: request.build_absolute_uri(reverse(page, args=[secret]))
        for name, page in pages.items()
    }


@access(SIGNED_IN, "POST")
def calendar(request: Request) -> HttpResponse:
    """Make, renew or end one's calendar address."""
    stop = request.POST.get("what") == "stop"
    return done(
        request,
        account_deeds.stop_calendar if stop else account_deeds.renew_calendar,
        to=f"{reverse('members:account')}#calendar",
        said="The calendar address no longer works."
        if stop
        else "There is a new calendar address. An old one no longer works.",
        account=own_account(request.who),
    )


@access(SIGNED_IN, "GET", "POST")
def password(request: Request) -> HttpResponse:
    mine = own_account(request.who)
    form = forms.OwnPasswordForm(_posted(request), account=mine)
    if request.method == "POST" and form.is_valid():
        account_deeds.change_password(
            account=mine, password=form.cleaned_data["password"], by=request.who, at=clock.now()
        )
        update_session_auth_hash(request, mine)
        messages.success(request, "Your new password is kept.")
        return redirect("members:account")
    status = 422 if form.is_bound else 200
    return show(request, "members/password.html", {"form": form}, status=status)


@access(PUBLIC, "GET", "POST")
def invitation(request: Request, secret: str) -> HttpResponse:
    """GET shows what the link is for; POST spends it and signs in."""
    found = queries.open_invitation(secret, clock.now())
    if found is None:
        return show(request, "members/invitation.html", {"spent": True}, status=404)
    known = queries.account_with_email(found.email)
    form = forms.AcceptForm(
        _posted(request),
        known=known is not None,
        account=known,
        initial={"name": queries.names_invited(found)},
    )
    if request.method == "POST" and form.is_valid():
        try:
            mine = account_deeds.accept_invitation(
                secret=secret,
                password=form.cleaned_data["password"],
                name=form.cleaned_data.get("name", ""),
                by=request.who,
                at=clock.now(),
            )
        except Missing:
            return show(request, "members/invitation.html", {"spent": True}, status=404)
        except Refusal as refusal:
            form.add_error(refusal.field, refusal.words)
        else:
            login(request, mine, backend=SIGNING_IN)
            messages.success(request, "Your password is kept, and you are signed in.")
            return redirect("/")
    status = 422 if form.is_bound else 200
    context = {"form": form, "email": found.email, "known": known}
    return show(request, "members/invitation.html", context, status=status)


@access(KEEPERS, "GET", "POST")
def invite(request: Request, public_id: str) -> HttpResponse:
    """Make a link for a player, or for a couple. It is shown once, to hand over."""
    player = player_to_run(request.who, public_id)
    sharing = queries.players_sharing_email(player)
    form = forms.InviteForm(
        _posted(request),
        sharing=sharing,
        everyone=queries.players_on_the_list(),
        initial={"email": player.email, "players": [one.public_id for one in sharing]},
    )
    context: dict[str, object] = {"form": form, "player": player}
    if request.method == "POST" and form.is_valid():
        email, now = form.cleaned_data["email"], clock.now()
        secret = account_deeds.invite(players=form.chosen(), email=email, by=request.who, at=now)
        address = request.build_absolute_uri(reverse("members:invitation", args=[secret]))
        until = now + timedelta(days=INVITATION_DAYS)
        context |= {"link": address, "until": until, "invited": form.chosen(), "email": email}
        context["sends"] = settings.SENDS_EMAIL
        return show(request, "members/invite.html", context)
    context["account"] = queries.account_with_email(player.email)
    return show(request, "members/invite.html", context, status=422 if form.is_bound else 200)


@access(KEEPERS, "GET", "POST")
def offices(request: Request) -> HttpResponse:
    """Who holds which office; the secretary gives one here."""
    day = queries.society_day(clock.now())
    form = forms.OfficeForm(_posted(request), accounts=queries.accounts(), initial={"starts": day})
    if request.method == "POST" and form.is_valid():
        try:
            office = office_deeds.hold_office(**form.cleaned_data, by=request.who, at=clock.now())
        except Refusal as refusal:
            form.add_error(refusal.field, refusal.words)
        else:
            messages.success(request, f"{office.account} is {ROLE_NAMES[office.role].lower()} now.")
            return redirect("members:offices")
    context = {"form": form, "offices": queries.offices(), "today": day}
    return show(request, "members/offices.html", context, status=422 if form.is_bound else 200)


@access(KEEPERS, "GET", "POST")
def end_office(request: Request, public_id: str) -> HttpResponse:
    office = office_to_run(request.who, public_id)
    day = queries.society_day(clock.now())
    form = forms.EndOfficeForm(_posted(request), initial={"last_day": day})
    if request.method == "POST" and form.is_valid():
        return done(
            request,
            office_deeds.end_office,
            office=office,
            last_day=form.cleaned_data["last_day"],
            to=reverse("members:offices"),
            said=f"The office of {office.account} has a last day now.",
        )
    context = {"form": form, "office": office, "title": ROLE_NAMES[office.role]}
    return show(request, "members/end_office.html", context, status=422 if form.is_bound else 200)


@access(SIGNED_IN, "GET")
def kept(request: Request) -> HttpResponse:
    """What the society keeps about people, and what it keeps about this reader's players."""
    mine = own_account(request.who)
    context = {
        "account": mine,
        "players": queries.players_of(mine),
        "letter_days": LETTERS_KEPT_DAYS,
    }
    return show(request, "members/kept.html", context)
