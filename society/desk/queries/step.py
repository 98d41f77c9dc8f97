"""What one line of the steps page says."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a fixture, as `templates/parts/_steps.html` shows it.

    `state`: pencil (not settled), ink (done), act (this officer must act) or final;
    `state_words` says the same. `count` and `unit` are the figure and what it counts. `url`: where
    to act, None for words only. `number` is set by the list the step stands in.
    """

    title: str
    desc: str
    state: str
    state_words: str
    url: str | None = None
    count: int | None = None
    unit: str = ""
    when: str = ""
    number: int = 0
