"""The form that makes a result final: one tick for each list, and a choice for single cards."""

from collections.abc import Mapping
from typing import Any

from django import forms

from society.desk.actions.final import Fate
from society.desk.queries.final import OpenCard, Readiness

_OUT = (
    ("", "As ticked above"),
    (Fate.NO_RETURN, "No return"),
    (Fate.ABSENT, "Did not turn up"),
    (Fate.WITHDRAWN, "Withdrew on the course"),
    (Fate.DISQUALIFIED, "Disqualified"),
)
_UNSETTLED = (
    ("", "As ticked above"),
    (Fate.ACCEPT, "Accept as written"),
    (Fate.NO_RETURN, "No return"),
    (Fate.WITHDRAWN, "Withdrew on the course"),
    (Fate.DISQUALIFIED, "Disqualified"),
)


def _all(count: int) -> str:
    return "both" if count == 2 else f"all {count}"


class FinalForm(forms.Form):
    """Built from what is open; every open card must get an answer, by its list or its own."""

    def __init__(self, data: Mapping[str, object] | None = None, *, ready: Readiness) -> None:
        super().__init__(data)
        self.ready = ready
        if ready.out:
            count = len(ready.out)
            self.fields["no_return"] = forms.BooleanField(
                label="No return for this card" if count == 1 else f"No return for {_all(count)}",
                required=False,
            )
        if ready.unsettled:
            count = len(ready.unsettled)
            self.fields["accept"] = forms.BooleanField(
                label="Accept it as written" if count == 1 else f"Accept {_all(count)} as written",
                required=False,
            )
        for cards, choices in ((ready.out, _OUT), (ready.unsettled, _UNSETTLED)):
            for card in cards:
                self.fields[f"card_{card.entry}"] = forms.ChoiceField(
                    label=card.name, choices=choices, required=False
                )
        if ready.mine_and_alone:
            self.fields["witness"] = forms.CharField(
                label="Witness for your own card",
                max_length=100,
                help_text="Your own card is among these and nobody else can rule on it. "
                "Name who heard the facts; the name stands with the ruling.",
            )

    def lists(self) -> list[dict[str, object]]:
        """The two lists for the page: the tick, and each card with its own choice."""
        both = (
            ("Cards still out", "no_return", self.ready.out),
            ("Not signed or not settled", "accept", self.ready.unsettled),
        )
        return [
            {
                "title": title,
                "tick": self[tick],
                "cards": [(card, self[f"card_{card.entry}"]) for card in cards],
            }
            for title, tick, cards in both
            if cards
        ]

    def clean(self) -> dict[str, object]:
        """Name the cards that neither a tick nor a choice answers."""
        data = super().clean() or {}
        for tick, cards in (("no_return", self.ready.out), ("accept", self.ready.unsettled)):
            open_ = [c for c in cards if not data.get(tick) and not data.get(f"card_{c.entry}")]
            for card in open_:
                self.add_error(f"card_{card.entry}", "Choose here, or tick the whole list.")
        return data

    def as_rulings(self) -> dict[str, Any]:
        """The values for `make_final`."""
        data = self.cleaned_data
        return {
            "no_return": self._left_to("no_return", self.ready.out),
            "accept": self._left_to("accept", self.ready.unsettled),
            "otherwise": {
                card.entry: Fate(chosen)
                for card in (*self.ready.out, *self.ready.unsettled)
                if (chosen := data.get(f"card_{card.entry}"))
            },
            "witness": data.get("witness", ""),
        }

    def _left_to(self, tick: str, cards: tuple[OpenCard, ...]) -> list[str]:
        return [card.entry for card in cards] if self.cleaned_data.get(tick) else []
