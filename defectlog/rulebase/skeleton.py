"""A new cause to be written out: a file with every field in its order, and a blank wherever a person must say it."""

import re

from defectlog.errors import BadInput, Problem
from defectlog.rulebase.shapes import AREAS, UNITS_OF_ACTION

BLANK = "WRITE HERE"
"""How a text begins that nobody has written yet. The lint names each one that is left."""

ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")

TEMPLATE = """\
# One cause, one file, one id for ever. rules/README.md explains every field.
# Replace every text that begins with WRITE HERE, then run: defectlog rules check
id = "{id}"
name = "{name}"
area = "{area}"
acts_at = "{acts_at}"
status = "in force"
summary = "WRITE HERE: one sentence, what is wrong."
mechanism = "WRITE HERE: two sentences, how that makes scrap."
# On how many of its units it is usually on: 0.10 is one in ten. Judgement.
usual_share = 0.10
cautions = []
# Ids of sources.toml that speak of this cause; leave it empty where none does.
sources = []

# Where a reading on record shows it, with a limit in limits.toml on that side; otherwise leave this out.
# [reading]
# quantity = "moisture_pct"
# side = "above"

[[explains]]
defect = "{defect}"
# sources = []    whose statement was read
# recalled = []   whose statement was recalled
judgement = "WRITE HERE: why it brings this defect; leave it out where a source says so."

# Looks that separate it from the other causes of the same defect: "strong" or "mild".
[favoured_by]
signs = {{}}
places = {{}}

[opposed_by]
signs = {{}}
places = {{}}

[[look_alikes]]
cause = "WRITE HERE: the id of the cause that it is taken for"
tell_apart = "WRITE HERE: how to tell the two apart in the shop."

[look_next]
check = "WRITE HERE: the cheapest check that separates it from its look-alike."
takes = "WRITE HERE: how long that takes, as in 10 minutes"
cautions = []

# The cheapest first; two to four. cost: free, cheap, some work, new pattern work, new equipment.
[[remedies]]
do = "WRITE HERE: what to do, as one would say it to a hand."
cost = "free"
may_break = []
cautions = []
"""


def new_cause(id: str, area: str, acts_at: str, defect: str) -> str:
    """The text of causes/<area>/<id>.toml. It can be read as it stands; the lint names its blanks and nothing else.

    Raises BadInput when an id is not made of lower-case words and hyphens, or the area or `acts_at` is none of ours.
    """
    problems = [
        Problem(
            "rule-id-misspelt",
            what,
            f"{found!r} is no id",
            "allowed: lower-case words with hyphens, as in sand-too-wet",
        )
        for what, found in (("cause", id), ("defect", defect))
        if not ID.fullmatch(found)
    ]
    for what, found, known in (("area", area, AREAS), ("acts-at", acts_at, UNITS_OF_ACTION)):
        if found not in known:
            problems.append(
                Problem("rule-id-unknown", what, f"there is no {what} {found!r}", f"allowed: {', '.join(known)}")
            )
    if problems:
        raise BadInput(problems)
    name = id.replace("-", " ").capitalize()
    return TEMPLATE.format(id=id, name=name, area=area, acts_at=acts_at, defect=defect)
