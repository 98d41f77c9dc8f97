"""What is known beforehand of every fixture of the two invented seasons."""

from society.desk.actions.demo.plan import Guest, Plan, Prize
from society.entries.actions.competing import Contest
from society.entries.rules.draw import DrawMethod
from society.fixtures.rules import Extra, GuestPlaces, StartKind

BOTH = {"men": "yellow", "women": "yellow"}
LONG = {"men": "white", "women": "red"}
SHORT = {"men": "yellow", "women": "red"}
MEMBER = "Ivo Marrable"  # whose group today still has things to settle
CAPTAIN_OF_THE_YEAR = "Hester Quillfeather"
ALWAYS = (
    MEMBER,
    "Augusta Rushlight",
    "Rufus Candlewick",
    "Nan Underbough",
    "Piet Underbough",
    "Wilf Acornby",
    "Mercy Larkspindle",
    CAPTAIN_OF_THE_YEAR,
)
PERCY = Guest("Percy Bluntspoon", "men", "24.0", "Jem Saltcote")
FLORA = Guest("Flora Dabblecote", "women", "19.8", "Orla Wickerby")
JEM = "Jem Saltcote"  # has a penalty to explain in the medal
SILAS = "Silas Brambleknot"  # keeps to paper, and his card of the medal is typed wrong

# No countback at all: whoever is level draws lots at the prize-giving.
GROSS = Contest(
    "Gross prize",
    {"format": "stableford", "basis": "gross", "countback": []},
)
MEALS = ("Shepherd’s pie", "Leek and potato pie", "Cold trout and salad")
LATE = "the kitchen is paid by then, so a place given up later costs the meal."

# Days are counted from today. The last season is 53 weeks before this one.
SEASON = (-126, 126)
LAST_SEASON = (SEASON[0] - 371, SEASON[1] - 371)

LAST_CAPTAIN = Plan(
    "Captain's Day", "Kettlemoor", -399, "stableford", BOTH, 28, always=ALWAYS,
    guests=(PERCY,), about="Strawberries at the ninth, speeches after the last.",
    method=DrawMethod.BALANCED,
)  # fmt: skip
LAST = (
    Plan(
        "Opening Card", "Upper Quince", -483, "stableford", SHORT, 24, always=ALWAYS,
        about="The first of the year, with the new starter's bell.",
    ),
    Plan(
        "Heather Pot", "Kettlemoor", -455, "stableford", LONG, 22, always=ALWAYS[:5],
        guests=(FLORA,), withdraws=("Winnie Sedgebottom",), method=DrawMethod.MIXED, back=3,
        about="Played when the moor is in flower, or should be.",
    ),
    Plan(
        "Beck Medal", "Oddling Sands", -427, "medal", BOTH, 23, always=ALWAYS[2:],
        absent="Gus Fennimarsh", method=DrawMethod.HANDICAP, about="Every putt is holed.",
    ),
    LAST_CAPTAIN,
    Plan(
        "Ferryman's Par", "Oddling Sands", -364, "par", BOTH, 20, always=ALWAYS[:6],
        method=DrawMethod.MIXED, back=4, about="Hole by hole against the card of the course.",
    ),
    Plan(
        "Millrace Cup", "Upper Quince", -336, "stableford", SHORT, 25,
        always=ALWAYS, leaves_late="Amos Ploverby", about="Eighteen holes by the mill.",
    ),
    Plan(
        "Lantern Plate", "Oddling Sands", -308, "stableford", BOTH, 24,
        always=ALWAYS[1:], guests=(PERCY, FLORA), about="The best soup of the year.",
    ),
    Plan(
        "Last Card", "Kettlemoor", -273, "stableford", LONG, 26, always=ALWAYS,
        no_card="Greta Foxlantern", method=DrawMethod.LEADERS,
        about="Leaders of the season out last. It ends where it began to hurt.",
    ),
)  # fmt: skip

# Nobody who is in the twos of the First Card makes one: the pot goes on to the Millrace Cup.
FIRST = Plan(
    "First Card", "Kettlemoor", -112, "stableford", LONG, 26,
    guests=(FLORA,), always=ALWAYS, withdraws=("Gus Fennimarsh",),
    stake=200, in_twos=("Wilf Acornby", "Mercy Larkspindle", CAPTAIN_OF_THE_YEAR,
                        "Linus Quagmoor", JEM, SILAS),
    about="The season begins on the moor. Soup and bread from one o'clock.",
)  # fmt: skip
CAPTAIN = Plan(
    "Captain's Day", "Upper Quince", -91, "stableford", BOTH, 28, guests=(PERCY,),
    always=ALWAYS, method=DrawMethod.BALANCED, back=4, start=StartKind.SHOTGUN,
    also=(GROSS,), first=CAPTAIN_OF_THE_YEAR,
    about="Strawberries at the ninth, speeches after the last.",
)  # fmt: skip
MEDAL = Plan(
    "Beck Medal", "Oddling Sands", -70, "medal", BOTH, 24, always=(*ALWAYS, JEM),
    absent="Linus Quagmoor", no_card="Greta Foxlantern", misread=SILAS,
    about="Every putt is holed. The medal has been played for since the society began.",
)  # fmt: skip
BRACKEN = Plan(
    "Bracken Maximum", "Kettlemoor", -49, "maximum", BOTH, 22,
    always=(*ALWAYS[:5], "Hal Tumbledown"), method=DrawMethod.MIXED, back=4,
    start=StartKind.TWO_TEES,
    about="Strokes, but no hole costs more than net double bogey.",
)  # fmt: skip
CUP = Plan(
    "Millrace Cup", "Upper Quince", -28, "stableford", SHORT, 27,
    guests=(PERCY,), always=(*ALWAYS, "Marigold Overstrand-Penhallow"),
    leaves_late="Tobias Wrenfeather", free_days=8, late_words=LATE,
    method=DrawMethod.MIXED, back=5, first=CAPTAIN_OF_THE_YEAR,
    bands=(18,), stake=200,
    prizes=(
        Prize("pin", 7, MEMBER, "1.84 m"),
        Prize("drive", 10, "Dorrick Pennywhisk", category="men"),
        Prize("drive", 10, "Winnie Sedgebottom", category="women"),
    ),
    about="Eighteen holes by the mill, then the draw for the winter pairs.",
)  # fmt: skip
PLAYED = (FIRST, CAPTAIN, MEDAL, BRACKEN, CUP)
PLATE = Plan(
    "Lantern Plate", "Oddling Sands", 0, "stableford", BOTH, 25, places=28,
    guests=(PERCY, FLORA), always=ALWAYS, leaves_late=SILAS, swaps_for=MEMBER,
    asks=(Extra.MEAL, Extra.DIET, Extra.TIME), meals=MEALS, free_days=8, late_words=LATE,
    method=DrawMethod.MIXED, back=6, first=CAPTAIN_OF_THE_YEAR, stake=200,
    prizes=(Prize("pin", 13, ""), Prize("drive", 16, "")),
    about="The day with the longest drive to the course and the best soup.",
)  # fmt: skip

# The places of the next one are all taken; see `coming` for who came in which order.
HARBOUR = Plan(
    "Harbour Stableford", "Kettlemoor", 17, "stableford-28", BOTH, 0, places=20,
    guests=(FLORA,), guest_places=GuestPlaces.BEHIND, free_days=9, late_words=LATE,
    asks=tuple(Extra), meals=MEALS, stake=200,
    about="White tees are being mended: all yellow.",
)  # fmt: skip
BEACON = Plan(
    "Beacon Stableford", "Upper Quince", 31, "stableford", SHORT, 9, places=24,
    always=("Wilf Acornby", "Rufus Candlewick"), stays_out=(MEMBER,),
    asks=(Extra.MEAL, Extra.DIET, Extra.PARTNER), meals=MEALS[:2],
    about="The beacon is lit when the last card is in.",
)  # fmt: skip
FROST = Plan("Frost Nine", "Upper Quince", 45, "nine", BOTH, 0, places=24)
HEATHER = Plan("Heather Pot", "Kettlemoor", 80, "stableford", LONG, 0)
LAST_CARD = Plan("Last Card", "Oddling Sands", 110, "stableford", BOTH, 0)
TO_COME = (FROST, HEATHER, LAST_CARD)
