"""The facts that an owner can be asked for, in the owner's words. The tables name these where they declare each fact.

What is usual is common practice, no source, unless it says otherwise.
"""

from __future__ import annotations

from wheelside.declared.asked import AskedAs, Effort

HANDBOOK = "In the car's handbook, under tyre pressure monitoring."
_YES_NO = ((True, "Yes"), (False, "No"))

MONITOR = AskedAs(
    "How does {name} watch its tyres?",
    "Switch the ignition on and look through the dash. A car with a Set or Reset button for tyres has no sensors in its wheels.",
    "Then every wheel is treated as if it had to have a sensor.",
    (
        ("direct", "By a sensor in each wheel"),
        ("indirect", "By wheel speed: it has a Set or Reset button"),
        ("none", "Not at all"),
    ),
)
DASH_SHOWS = AskedAs(
    "Does the dash show a figure for each tyre?",
    "Look through the dash's menus with the ignition on.",
    "Then no step of a job relies on the dash.",
    _YES_NO,
)
TAUGHT_BY = AskedAs(
    "How does {name} learn new wheels?",
    HANDBOOK,
    "Then a quarter of an hour is allowed for it at each change.",
    (
        ("driving", "By itself, while driving"),
        ("driving, finds corners", "By itself, and it finds each corner"),
        ("step by step", "From a menu, wheel by wheel"),
        ("port", "With a tool at its diagnostic port"),
        ("locked", "Only at a dealer's"),
    ),
    effort=Effort.READ,
)
REMEMBERS_SETS = AskedAs(
    "How many sets of wheels can {name} remember?",
    HANDBOOK + " A menu that offers summer and winter tyres means two.",
    "Then one set is counted on: it is taught at every change.",
    ((1, "One"), (2, "Two: summer and winter")),
    effort=Effort.READ,
    usual="1",
    usual_by="common practice, no source",
)
WHEN_FULL = AskedAs(
    "What does {name} forget when it learns a set too many?",
    HANDBOOK,
    "Then it is taken to forget the oldest.",
    (("oldest", "The oldest"), ("chosen", "The one you choose"), ("all", "Everything")),
    effort=Effort.READ,
)
CORNER_AWARE = AskedAs(
    "Does {name} say which wheel is low?",
    "The dash names a corner, or shows four figures where they belong.",
    "Then it is taken to tell corners apart.",
    _YES_NO,
)
SPARE_COUNTED = AskedAs(
    "Does {name} watch its spare wheel too?",
    HANDBOOK,
    "Then four wheels are counted.",
    _YES_NO,
    effort=Effort.READ,
    usual="false",
    usual_by="common practice, no source",
)
ABORT_ERASES = AskedAs(
    "If learning is broken off, does {name} forget the wheels it knew?",
    HANDBOOK,
    "Then the sheet warns before it begins.",
    _YES_NO,
    effort=Effort.READ,
)
LOAD_INDEX = AskedAs(
    "Which load index must the tyres of {name} have at least?",
    "The figure behind the size in the car's papers or on the label, such as 92 in 205/60 R16 92V.",
    "Then no set can be judged for what it carries.",
    trials=(84, 100),
    effort=Effort.READ,
    example="92",
    drawing="placard",
)
SPEED_SYMBOL = AskedAs(
    "Which speed letter must the tyres of {name} have at least?",
    "The letter behind the load index in the car's papers or on the label.",
    "Then no set can be judged for its speed.",
    trials=("T", "W"),
    effort=Effort.READ,
    example="V",
    drawing="placard",
)
CAR_BOLT_CIRCLE = AskedAs(
    "What is the bolt circle of {name}?",
    "In the papers of its rims or cast inside them: holes and millimetres, such as 5x112.",
    "Then it is measured before money changes hands.",
    trials=("5x112", "4x100"),
    effort=Effort.READ,
    example="5x112",
    drawing="rim",
)
CAR_CENTRE_BORE = AskedAs(
    "How wide is the hub of {name}?",
    "In the papers of its rims, or by calliper on the hub.",
    "Then it is measured before money changes hands.",
    trials=("57.1 mm", "66.6 mm"),
    effort=Effort.MEASURE,
    unit="mm",
    example="66.6",
    drawing="rim",
)
CAR_INSET = AskedAs(
    "What is the inset of the car's own rims?",
    "Cast inside the rim, often behind ET.",
    "Then how far a wheel stands in or out is measured.",
    trials=("35 mm", "50 mm"),
    unit="mm",
    example="46",
    drawing="rim",
)
CAR_WIDTH = AskedAs(
    "How wide are the car's own rims?",
    "Cast inside the rim, such as 6.5J.",
    "Then how far a wheel stands in or out is measured.",
    trials=("6J", "7.5J"),
    example="6.5J",
    drawing="rim",
)
TORQUE = AskedAs(
    "How tight are the wheel bolts or nuts of {name}?",
    "In the handbook, under changing a wheel.",
    "Then the sheet leaves the figure to your handbook.",
    effort=Effort.READ,
    unit="Nm",
    example="120",
)
FASTENING = AskedAs(
    "Is a wheel of {name} held by bolts or by nuts?",
    "Bolts come out whole; nuts leave studs on the hub.",
    "Then the fasteners are looked at before they are bought.",
    (("bolts", "Bolts"), ("nuts", "Nuts on studs")),
)
CAR_SEAT = AskedAs(
    "What shape is the seat of the car's own bolts or nuts?",
    "Look at the face that presses on the rim.",
    "Then it is compared at the seller's.",
    (
        ("cone 60°", "A cone"),
        ("ball R12", "A ball, R12"),
        ("ball R13", "A ball, R13"),
        ("ball R14", "A ball, R14"),
        ("flat", "Flat, with a washer"),
    ),
)
DESIGNATION = AskedAs(
    "Which size is on the tyres of {name}?",
    "On the sidewall, in large type, with the figure and letter behind it: 205/60 R16 92V.",
    "Then no pressure and no verdict can be given.",
    example="205/60 R16 92V",
    drawing="sidewall",
)
MAX_PRESSURE = AskedAs(
    "Which highest pressure do the tyres of {name} name?",
    "On the sidewall, in small type: MAX PRESS.",
    "Then the figures are not compared with it.",
    trials=("2.5 bar", "3.5 bar"),
    unit="bar",
    example="3.5",
    drawing="sidewall",
)
DATE_CODE = AskedAs(
    "How old are the tyres of {name}?",
    "The last four digits of the long number on the sidewall: week and year, 3519.",
    "Then their age is looked at on the day.",
    trials=("0115", "0126"),
    example="3519",
    drawing="date",
)
TREAD = AskedAs(
    "How deep is the least tread of {name}?",
    "By a tread gauge in the main grooves, at the worst place.",
    "Then it is measured before money changes hands.",
    trials=("2 mm", "7 mm"),
    effort=Effort.MEASURE,
    unit="mm",
    example="6",
)
SEASON = AskedAs(
    "Which season are the tyres of {name} made for?",
    "A mountain with a snowflake on the sidewall stands for winter.",
    "Then they are not judged for winter.",
    (("summer", "Summer"), ("winter", "Winter"), ("all year", "All year")),
)
DAMAGED = AskedAs(
    "Has a tyre of {name} a bulge, a cut, cracks, or was it driven flat?",
    "Look at both sidewalls of each tyre, in good light.",
    "Then it is looked at on the day, before anything else.",
    ((False, "No, I have looked"), (True, "Yes")),
)
RIM_BOLT_CIRCLE = AskedAs(
    "What is the bolt circle of {name}?",
    "Cast inside the rims: holes and millimetres, such as 5x112.",
    "Then it is measured before money changes hands.",
    trials=("5x112", "4x100"),
    example="5x112",
    drawing="rim",
)
RIM_CENTRE_BORE = AskedAs(
    "How wide is the centre bore of {name}?",
    "Cast inside the rims, or by calliper.",
    "Then it is measured before money changes hands.",
    trials=("57.1 mm", "72.6 mm"),
    unit="mm",
    example="66.6",
    drawing="rim",
)
RIM_INSET = AskedAs(
    "What is the inset of {name}?",
    "Cast inside the rims, often behind ET.",
    "Then how far the wheels stand in or out is tried on the car.",
    trials=("35 mm", "50 mm"),
    unit="mm",
    example="46",
    drawing="rim",
)
RIM_WIDTH = AskedAs(
    "How wide are the rims of {name}?",
    "Cast inside the rims, such as 6.5J.",
    "Then how far the wheels stand in or out is tried on the car.",
    trials=("6J", "7.5J"),
    example="6.5J",
    drawing="rim",
)
RIM_SEAT = AskedAs(
    "What shape are the bolt holes of {name}?",
    "Look into a hole from outside.",
    "Then they are compared at the seller's.",
    (
        ("cone 60°", "A cone"),
        ("ball R12", "A ball, R12"),
        ("ball R13", "A ball, R13"),
        ("ball R14", "A ball, R14"),
        ("flat", "Flat, for a washer"),
    ),
)
RIM_MAX_LOAD = AskedAs(
    "Which load are the rims of {name} marked for?",
    "Cast inside the rims, in kg, where it is there at all.",
    "Then only the tyres are judged for the load.",
    trials=("550 kg", "750 kg"),
    unit="kg",
    example="650",
    drawing="rim",
)
PRINTED = AskedAs(
    "What is printed on the four sensors of {name}?",
    "On the case of each sensor, beside the valve inside the tyre; or what a trigger shows.",
    "Then they are read in the job, before anything is decided about them.",
    drawing="sensor",
)
FAMILY = AskedAs(
    "Are the sensors of {name} of the same kind as the car's own?",
    "Compare a sensor's print with one that works, or let the trigger name both.",
    "Then they are compared in the job, before anything is taught.",
    effort=Effort.READ,
)
ANSWERS = AskedAs(
    "Are the sensors of {name} alive?",
    "They answer a trigger that is held at the sidewall beside each valve, or the car shows them.",
    "Then they are triggered in the job.",
    ((True, "All four are"), (False, "None is")),
    effort=Effort.MEASURE,
)
FIRST_USED = AskedAs(
    "In which year were the sensors of {name} first used?",
    "Hardly ever printed on them: the year of the first tyres that they were in, or of the car.",
    "Then they are taken to be as old as the tyres.",
    trials=("2014", "2025"),
    effort=Effort.READ,
    example="2021",
)
WRITING = AskedAs(
    "Can an ID be written into the sensors of {name}?",
    "A car maker's own sensors hardly ever can. For others, the maker's leaflet says.",
    "Then nothing is planned that would write to them.",
    (("rewritable", "Yes, again and again"), ("write once", "Yes, once"), ("fixed", "No")),
    effort=Effort.READ,
)
AT_REST = AskedAs(
    "Do the sensors of {name} send while the wheel stands still?",
    "Listen for half an hour at a wheel that has not moved, or read the maker's leaflet.",
    "Then they are taken to send.",
    (("transmits", "Yes"), ("silent", "No")),
    effort=Effort.MEASURE,
    usual="transmits",
    usual_by="the careful way to take it",
)
STEM = AskedAs(
    "Which valves does {name} have?",
    "Look at a valve from outside.",
    "Then it is looked at on the day.",
    (("rubber", "Rubber"), ("metal", "Metal, with a nut")),
)
PRICE = AskedAs(
    "What is asked for {name}?",
    "The seller says.",
    "Then what it is worth is said, without the asking price beside it.",
    effort=Effort.HEART,
    unit="EUR",
    example="250",
)
LOOKS_FLAT = AskedAs(
    "Does a tyre look flat, or was one driven flat?",
    "Walk round the car once.",
    "Then no pressure is given: look first.",
    ((False, "No, none"), (True, "Yes")),
)
TYRE_TEMPERATURE = AskedAs(
    "How warm are the tyres now?",
    "Tyres that stood for three hours are as warm as the air around them, be it that of the garage.",
    "Then no pressure can be given.",
    unit="°C",
    example="12",
    label="now",
)
TEMPERATURE_OF_USE = AskedAs(
    "How cold will it be where the car is used?",
    "The morning: a usual one in the weeks to come, where the car stands outside.",
    "Then no pressure can be given.",
    unit="°C",
    example="0",
    label="a usual morning",
)
MORNINGS = AskedAs(
    "How cold are mornings where the car stands?",
    "What a weather report gives as the low of a usual day, in the coldest month and in the warmest.",
    "Then the coldest that was read of late is taken for the whole year.",
    effort=Effort.HEART,
)
LOAD = AskedAs(
    "How will {name} be loaded?",
    "The label gives a column for each.",
    "Then the figures for the usual load are taken.",
    (("normal", "Usual: up to three people"), ("full", "Full")),
    effort=Effort.HEART,
)
SKILLS = AskedAs(
    "What can your handheld write into a sensor?",
    "Its handbook, under programming or creating.",
    "Then writing is planned as if a handheld had to be bought.",
    effort=Effort.READ,
)
SHOP = AskedAs(
    "Would you have a tyre taken off at a shop?",
    "A new sensor needs the tyre off.",
    "Then a shop is counted on.",
    _YES_NO,
    effort=Effort.HEART,
    usual="true",
    usual_by="common practice, no source",
)
HOUR = AskedAs(
    "What is an hour of your own time worth to you?",
    "Only you know; nought is an answer.",
    "Then 15 EUR is counted.",
    trials=("0 EUR", "40 EUR"),
    effort=Effort.HEART,
    unit="EUR",
    example="15",
)
OTHER_SET = AskedAs(
    "Which other wheels do you have?",
    "In the shed, at the tyre shop, or about to be bought.",
    "Then the plan is for what is on it.",
)
