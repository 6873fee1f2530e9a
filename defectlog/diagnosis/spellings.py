"""Word lists for reading shop English: small words, spellings, short forms, and words with two meanings.

Stems are those of `words.stem`. Lists are from memory of how people talk and write in shops; nothing is measured on
a corpus of real notes, since none is published.
"""


def word_set(words: str) -> frozenset[str]:
    return frozenset(words.split())


SMALL_WORDS = word_set(
    """a an the of to is are was were be been being am it its this that these those theres thats my our your
    their his her i we you he she they them me us and or with by in on at for from as like when where which who what
    so has have had having do does did done doing will would can could should shall may get got getting gets look
    looks looked looking seem seems seemed some any very quite really rather also still even onto
    if than again already im ive weve youd id mate lads lad please bloody proper sort kind kinda of"""
)

# Small words after which something else may begin.
JOINTS = word_set("where when which who as so if and")

NEGATORS = word_set("not no never none nor neither without cannot nae nil nothing nobody nowhere")

NOT_FORMS = word_set(
    """isnt arent wasnt werent didnt doesnt dont hasnt havent hadnt wont wouldnt cant couldnt shouldnt aint mustnt
    dosnt doesent dident diddnt wasent isent havnt"""
)

# "No doubt it is smooth", "not only smooth", "no wonder": the "no" denies nothing that can be seen.
NOT_A_DENIAL = word_set("only just doubt wonder matter sure problem question idea surprise")

# A denial reaches no further than these.
SCOPE_ENDS = word_set("and just only")

CLAUSE_WORDS = word_set("but then although though however yet whereas except otherwise")

# Spelling, short forms and irregular forms to the one word that stands for them all.
SAME_WORD = {
    "mold": "mould", "molds": "mould", "molded": "mould", "molding": "mould",
    "aluminum": "aluminium", "ali": "aluminium", "ally": "aluminium", "alu": "aluminium",
    "gray": "grey", "grayish": "grey", "greyish": "grey", "color": "colour", "colored": "colour", "colors": "colour",
    "discolored": "discolour", "center": "centre", "centers": "centre", "oxidized": "oxidise", "plow": "plough",
    "crystalized": "crystal", "crystalline": "crystal", "crystally": "crystal", "crystalised": "crystal",
    "wrinkly": "wrinkle", "crinkly": "crinkle", "sparkly": "sparkle", "bubbly": "bubble", "bulgy": "bulge",
    "porous": "pore", "porosity": "porosity", "scabby": "scab", "scabs": "scab", "scabbed": "scab",
    "nowt": "nothing", "nuthin": "nothing", "wee": "small", "littel": "little", "lil": "little", "teeny": "tiny",
    "ran": "run", "running": "run", "runs": "run", "broke": "break", "broken": "break", "brok": "break",
    "tore": "tear", "torn": "tear", "froze": "freeze", "frozen": "freeze", "fell": "fall", "fallen": "fall",
    "sunk": "sink", "sank": "sink", "sunken": "sink", "drew": "draw", "drawn": "draw", "stuck": "stick",
    "blew": "blow", "blown": "blow", "blows": "blow", "spat": "spit", "bent": "bend", "found": "find",
    "met": "meet", "shrunk": "shrink", "shrank": "shrink", "came": "come", "cames": "come", "went": "go",
    "gone": "go", "burnt": "burn", "burned": "burn", "swelled": "swell", "swollen": "swell", "left": "leave",
    "brought": "bring", "lay": "lie", "lying": "lie", "shook": "shake", "bled": "bleed", "fed": "feed",
    "sawn": "saw", "sawed": "saw", "cutting": "cut", "hollows": "hollow", "leaves": "leave", "knitted": "knit",
    "teeth": "tooth", "halves": "half", "halfs": "half", "wasn": "not", "didn": "not", "isn": "not",
    "header": "feeder", "riser": "feeder", "risers": "feeder", "feedhead": "feeder", "headers": "feeder",
    "ingates": "gate", "ingate": "gate", "gates": "gate", "gated": "gate", "flask": "box", "flasks": "box",
    "beneath": "under",
    "mag": "magnesium", "inches": "inch", "machining": "machine", "maching": "machine",
    "machineing": "machine", "machinist": "machine", "radiograph": "xray", "radiography": "xray", "lumpy": "lump",
    "glassy": "glass", "salty": "salt", "frosty": "frost",
    "rounded": "round", "rounding": "round", "leaky": "leak", "leaker": "leak", "furry": "fur",
    "outta": "out", "thru": "through", "tho": "though", "cos": "because", "coz": "because", "cuz": "because",
    "prob": "probably", "probs": "probably", "prolly": "probably", "crystals": "crystal", "wormy": "worm",
    "spongey": "sponge", "spongy": "sponge", "streaky": "streak", "flaky": "flake", "sugary": "sugar",
    "papery": "paper", "whiskery": "whisker", "ferny": "fern", "spiky": "spike", "smoother": "smooth",
    "drossy": "dross", "filthy": "dirt", "dirty": "dirt", "sooty": "soot", "tinted": "tint",
    "skimmings": "skimmings", "parting": "parting", "partings": "parting", "lining": "line", "lined": "line",
    "knocked": "knock", "weeped": "weep", "wept": "weep", "defects": "defect", "castin": "casting",
    "fins": "fin", "finned": "fin", "pinned": "pin", "bored": "bore", "boring": "bore", "cored": "core",
    "dendritic": "dendrite", "lathes": "lathe", "reckons": "reckon", "reckoned": "reckon", "thinks": "think",
    "void": "cavity", "voids": "cavity", "pores": "hole", "pore": "hole", "geode": "crystal",
    "location": "place", "locations": "place", "position": "place", "positions": "place",
    "identical": "same", "identically": "same", "sectioned": "saw", "sectioning": "saw",
    "protrusion": "lump", "protrusions": "lump", "projection": "lump", "projections": "lump", "mound": "lump",
    "hump": "lump", "knobbly": "lump", "nobbly": "lump", "excess": "extra", "surplus": "extra",
    "fracture": "break", "fractured": "break", "fractures": "break", "ledge": "step", "displaced": "offset",
    "misaligned": "offset", "granular": "grain", "granules": "grain", "entire": "whole", "skinny": "thin",
    "absent": "missing", "lacking": "missing", "dot": "speck", "dots": "speck", "speckles": "speck",
    "speckled": "speck", "freckles": "speck", "glossy": "shiny", "globule": "bead", "droplet": "bead",
    "pearl": "bead", "globules": "bead", "droplets": "bead", "matchplate": "plate", "solidified": "solid",
    "insides": "inside", "interior": "inside", "leakage": "leak", "rippled": "ripple",
    "thought": "think", "guessing": "guess", "shud": "should", "surfce": "surface",
}  # fmt: skip

# Written as one word by some and as two by others.
IN_TWO = {
    "pinhole": "pin hole", "pinholes": "pin hole", "pinholed": "pin hole", "blowhole": "blow hole",
    "blowholes": "blow hole", "knockout": "knock out", "shakeout": "shake out", "subsurface": "sub surface",
    "runout": "run out", "coldshut": "cold shut", "shotblast": "blast", "shotblasting": "blast",
    "shotblasted": "blast", "downsprue": "sprue", "cutoff": "cut off", "everytime": "every time",
    "everyone": "every one", "midway": "half way", "halfway": "half way", "sandhole": "sand hole",
    "sandholes": "sand hole", "pinhead": "pin head", "pinpoint": "pin point", "pinprick": "pin prick",
    "pinpricks": "pin prick", "eggshell": "egg shell", "overweight": "over weight", "partingline": "parting line",
    "jointline": "joint line", "allover": "all over", "sidewall": "side wall", "hottear": "hot tear",
    "rattail": "rat tail", "rattails": "rat tail", "misruns": "misrun", "lengthways": "length way",
    "pocketful": "pocket full", "brimful": "brim full", "drossinclusion": "dross inclusion",
}  # fmt: skip

# A word with two meanings: (other meaning, words beside it that give the other meaning away).
TWO_MEANINGS: dict[str, tuple[tuple[str, frozenset[str]], ...]] = {
    # a shrink, or lifting the pattern out
    "draw": (("lift", word_set("pattern plate rap strip along sand stick tear lift box mould clean match")),),
    # cold metal, or a cold day
    "cold": (("chilly", word_set("day morning weather shop shed night hand winter outside")),),
    # a gas hole, or an air line
    "blow": (("airline", word_set("air airline bellow hose compress dust")),),
    # halves out of line, or the men on nights
    "shift": (("turn", word_set("night day late early back morning afternoon first second")),),
    # sand that fell, or a casting let fall
    "drop": (
        (
            "letfall",
            word_set("floor forklift lorry truck bench pallet van barrow trolley grate concrete ground hammer drill"),
        ),
    ),
    # sand cut away by metal, or cleaning, or a coating
    "wash": (("coating", word_set("water soap paint coat alcohol zircon solvent")),),
    # small balls of metal, or blasting
    "shot": (("blast", word_set("blast blaster peen")),),
    # a fin of flash, or a rib of the casting
    "fin": (("rib", word_set("cool cooling fill filled missing incomplete blade stubby")),),
    # a fin, or a light
    "flash": (("glint", word_set("light camera bang")),),
}

# "Round the core" is a place and "round hole" a shape: what "round" goes round.
ROUND_WHAT = word_set("core print gate joint parting boss feeder middle edge rim outside bore hub")

# "Ran out of the joint" is a leak, "ran out of metal" a want.
RUNS_OUT_OF = word_set("mould box joint parting bottom side corner print vent drag cope")

# "Sunk in" is not "sunk in the face": verbs after which "in" and "on" belong to the verb unless a noun follows.
PARTICLES = {"in": "-in", "into": "-in", "on": "-on"}
PARTICLE_VERBS = word_set("sink fall cave break suck draw fill pull close burn push bake weld fuse stick saw fold")

# Where somebody says why, and no longer what is there. Each is a run of stems.
THEORY = tuple(
    tuple(words.split())
    for words in """think|reckon|guess|suspect|suppose|probably|perhaps|possibly|must be|must have|must of|might be|
    might have|could be|could have|because|due|cause by|blame|put it down to|expect|bet|i say|wonder if|maybe|
    not sure|no idea""".replace("\n", " ").split("|")
)

# "Scrapped because of pinholes" says what is there.
REJECTED = word_set("scrap reject fail refuse return sent bin")

# Common words that must not be taken for a misspelling of a word of the trade.
PLAIN_WORDS = word_set(
    """side wide hide sand hand land band hold told gold cold cord care core cure cope hope rope coped line fine mine
    nine wine lines last lost past post list cast fast vast rest best test text next nest well will wall tall call
    fall full fill feel fell cell sell bell hell hall ball bull pull push dust must just rust mist most cost host
    bath both path pats part port sort short shirt start smart chart heart heat head heap beat meat seat neat near
    dear fear gear hear tear year wear bear pear pour four hour tour sour your our out put cut but bit bet bat
    get got gut hit hot hat pit pot pat set sat sit six fix mix max man men ten tin tan ton win won one two three
    time tide tile tame name same some come came cane line lane late rate gate date fate mate plate place plane
    plain play tray gray grey they then than that what when whom week work word world ward warm worm form from
    foam room roof root rock lock luck look book took tool pool wool cool food good wood mood moon soon noon
    door poor more sore wore tore core bore bare rare fare fire hire wire tire tyre tried trial trail train rain
    main gain pain paint point joint print spring string strong wrong long song sing ring king wing thing think
    thank thick stick stock stack black block clock click thin this his him has had bad sad dad day way say may
    pay bay lay ray tray stay today monday tuesday wednesday thursday friday saturday sunday morning evening
    night light right sight weight eight height might order ordered customer customers drawing number numbers
    threads thread thrown stores store story paper papers painted colour tag tagged box boxed boxes ask
    broken spoken taken token shaken people person price prices prince ready steady really nearly early yearly
    always away maybe money honey month months mouth south north east west left lift gift soft
    loft often after other another mother water later letter better bitter butter matter metal pattern patterns
    machine machined wheel steel stole stone stony phone alone along among belong again against change changed
    charge large page sage stage strange range orange hinge lunch bench beach reach teach each much such which
    while white write wrote quite quiet quick sick kick pick lick back pack sack rack track truck struck stuck
    every very ever never fever lever level seven even event eleven given driven drive drove dove move moved
    love glove gloves above below follow hollow yellow fellow allow slow flow blow grow know snow show shown
    shop ship chip clip slip trip drip grip strip stripe stripped wrap wrapped trap cap tap map gap"""
)
