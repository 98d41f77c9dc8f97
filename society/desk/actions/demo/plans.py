"""What is known beforehand of every fixture of the two invented seasons."""

from society.desk.actions.demo.saturday import Guest, Plan

BOTH = {"men": "yellow", "women": "yellow"}
LONG = {"men": "white", "women": "red"}
SHORT = {"men": "yellow", "women": "red"}
MEMBER = "Ivo Marrable"  # whose group today still has things to settle
ALWAYS = (
    MEMBER,
    "Augusta Rushlight",
    "Rufus Candlewick",
    "Nan Underbough",
    "Piet Underbough",
    "Wilf Acornby",
    "Mercy Larkspindle",
    "Hester Quillfeather",
)
PERCY = Guest("Percy Bluntspoon", "men", "24.0", "Jem Saltcote")
FLORA = Guest("Flora Dabblecote", "women", "19.8", "Orla Wickerby")
JEM = "Jem Saltcote"  # has a penalty to explain in the medal

# Days are counted from today. The last season is 53 weeks before this one.
SEASON = (-126, 126)
LAST_SEASON = (SEASON[0] - 371, SEASON[1] - 371)

LAST = (
    Plan(
        "Opening Card", "Upper Quince", -483, "stableford", SHORT, 24, always=ALWAYS,
        about="The first of the year, with the new starter's bell.",
    ),
    Plan(
        "Heather Pot", "Kettlemoor", -455, "stableford", LONG, 22, always=ALWAYS[:5],
        guests=(FLORA,), withdraws=("Winnie Sedgebottom",),
        about="Played when the moor is in flower, or should be.",
    ),
    Plan(
        "Beck Medal, last year", "Oddling Sands", -427, "medal", BOTH, 23, always=ALWAYS[2:],
        absent="Gus Fennimarsh", about="Every putt is holed.",
    ),
    Plan(
        "Captain's Day, last year", "Kettlemoor", -399, "stableford", BOTH, 28, always=ALWAYS,
        guests=(PERCY,), about="Strawberries at the ninth, speeches after the last.",
    ),
    Plan(
        "Ferryman's Par", "Oddling Sands", -364, "par", BOTH, 20, always=ALWAYS[:6],
        about="Hole by hole against the card of the course.",
    ),
    Plan(
        "Millrace Cup, last year", "Upper Quince", -336, "stableford", SHORT, 25,
        always=ALWAYS, leaves_late="Amos Ploverby", about="Eighteen holes by the mill.",
    ),
    Plan(
        "Lantern Plate, last year", "Oddling Sands", -308, "stableford", BOTH, 24,
        always=ALWAYS[1:], guests=(PERCY, FLORA), about="The best soup of the year.",
    ),
    Plan(
        "Last Card", "Kettlemoor", -273, "stableford", LONG, 26, always=ALWAYS,
        no_card="Greta Foxlantern", about="The season ends where it began to hurt.",
    ),
)  # fmt: skip

FIRST = Plan(
    "First Card", "Kettlemoor", -112, "stableford", LONG, 26,
    guests=(FLORA,), always=ALWAYS, withdraws=("Gus Fennimarsh",),
    about="The season begins on the moor. Soup and bread from one o'clock.",
)  # fmt: skip
CAPTAIN = Plan(
    "Captain's Day", "Upper Quince", -91, "stableford", BOTH, 28, guests=(PERCY,),
    always=ALWAYS, about="Strawberries at the ninth, speeches after the last.",
)  # fmt: skip
MEDAL = Plan(
    "Beck Medal", "Oddling Sands", -70, "medal", BOTH, 24, always=(*ALWAYS, JEM),
    absent="Linus Quagmoor", no_card="Greta Foxlantern",
    about="Every putt is holed. The medal has been played for since the society began.",
)  # fmt: skip
BRACKEN = Plan(
    "Bracken Maximum", "Kettlemoor", -49, "maximum", BOTH, 22, always=ALWAYS[:5],
    about="Strokes, but no hole costs more than net double bogey.",
)  # fmt: skip
CUP = Plan(
    "Millrace Cup", "Upper Quince", -28, "stableford", SHORT, 27,
    guests=(PERCY,), always=ALWAYS, leaves_late="Tobias Wrenfeather",
    about="Eighteen holes by the mill, then the draw for the winter pairs.",
)  # fmt: skip
PLAYED = (FIRST, CAPTAIN, MEDAL, BRACKEN, CUP)
PLATE = Plan(
    "Lantern Plate", "Oddling Sands", 0, "stableford", BOTH, 25, places=28,
    guests=(PERCY, FLORA), always=ALWAYS, leaves_late="Silas Brambleknot", swaps_for=MEMBER,
    about="The day with the longest drive to the course and the best soup.",
)  # fmt: skip
HARBOUR = Plan(
    "Harbour Stableford", "Kettlemoor", 17, "stableford-28", BOTH, 17, places=20,
    always=("Rufus Candlewick", "Wilf Acornby"), about="White tees are being mended: all yellow.",
)  # fmt: skip
FROST = Plan("Frost Nine", "Upper Quince", 45, "nine", BOTH, 0, places=24)
HEATHER = Plan("Heather Pot, this year", "Kettlemoor", 80, "stableford", LONG, 0)
LAST_CARD = Plan("Last Card of the season", "Oddling Sands", 110, "stableford", BOTH, 0)
TO_COME = (FROST, HEATHER, LAST_CARD)
