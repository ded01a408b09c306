"""Questions whether something is safe, and dangers that are told: no such words are ever an answer.

A question asks for leave ('is it okay to', 'want me to') and names what can hurt somebody. A danger is told by what
it is of: a battery, what is lifted, air and springs, a wheel, fumes. Both are forms of words, as in
``grammars/reports.toml``, but of what stands in which order.
"""

from __future__ import annotations

import re

SAFETY = "safety"
"""Why a question is one that is answered by a caution."""
UNANSWERED = "unanswered"
"""The same of one that nothing answers."""

_ANY = r"[^.!?;]{0,60}?"
_LEAVE = re.compile(
    r"\b(?:ok|okay|safe|alright|all right|fine|cool)\s+(?:to|if|for me|for us|under|in there|"
    r"with|now|like (?:this|that))\b"
    rf"|\b(?:is|are|am|will|would|ain't|isn't|aren't)\b{_ANY}\b(?:safe|dangerous|unsafe|risky)\b"
    r"|\b(?:safe|dangerous|risky|unsafe)\b[^.!;]*\?"
    r"|\bam i (?:safe|good|clear|okay|ok|supposed|allowed)\b"
    rf"|\b(?:will|would|could|can|is|does|gonna)\s+(?:it|that|this|these|they|she|he|the \w+(?: \w+)?)\b{_ANY}"
    r"\b(?:hurt|bite|shock|zap|explode|blow up|burn me|fall on|crush|kill|start on me|roll on me|"
    r"take off on me|let go)\b"
)
"""Words that ask whether it is safe."""
_WHETHER = re.compile(
    r"\b(?:want|need|wanting|needing) me to\b|\b(?:do|did|should|shall|must|may|can|could|gotta) (?:i|we) \b"
    r"|\bam i (?:supposed|allowed) to\b|\bi (?:gotta|have to|need to|got to)\b[^.!;]*\?|\bwhat (?:if|"
    r"happens if)\b"
    r"|^(?:(?:so|okay|ok|and) )?(?:crank|start|fire) (?:it|her)(?: up)?(?: now)?\??$|\bhit the starter\b"
    r"|^(?:so|wait|and|then|now|ok|okay|well|you mean|just|[,\s])+(?:i )?"
    r"(?:crank|start|fire|charge|jump|lift|jack|crawl|pull|take|disconnect|touch|grab|loosen|open|"
    r"drain|cage|spin|roll)\b"
    r"[^.!;]*(?:\?|\bnow\b)"
)
"""Words that ask whether to do it."""
_HANDS = re.compile(
    r"\b(?:under|underneath|crawl\w*|jack\w*|stands?|lift\w*|raised?|off the ground|in the air|"
    r"chock\w*|block\w*)\b"
    r"|\b(?:before|while|with|when)\b[^.!?;]*\b(?:grab|touch|reach|stick|put my|hands?|fingers?|arm|lean)\b"
    r"|\b(?:grab|touch|reach (?:in|under|up|behind)|stick my|put my|my hands?|bare hand\w*|"
    r"gloves?|glasses|goggles|face shield)\b"
    r"|\b(?:crank|starter|fire it up|start (?:it|her|the engine|the truck)|shut (?:it|her|the engine|"
    r"the truck)|kill (?:it|the engine))\b"
    r"|\b(?:charge|charger|jump (?:it|her|start)|hook up|smok\w+|spark\w*|swole|swollen|bulg\w+|"
    r"leak\w*|acid|gas|fumes|hot|frozen)\b"
    r"|\b(?:cage|caged|uncage|spring brakes?|chamber|clamp|drain|bleed|pushrod|air on|air up|air off|"
    r"let the air|hose|glad ?hand)\b"
    r"|\b(?:take|pull|pop|yank|unhook|disconnect|loosen)\b[^.!?;]*\b(?:ground|cables?|positive|"
    r"negative|post|wheels?|drums?|tires?|hub|line|brake)\b"
    r"|\b(?:spin|turn) (?:it|the wheel|the hub|the engine)\b|\b(?:weld|torch|cut|hammer|pry|alone|"
    r"by myself|barefoot|wet)\b"
    r"|\b(?:roll|drive|move) (?:it|her|the)\b"
)
"""What can hurt somebody."""


_WHICH = re.compile(r"\b(?:what|wat|where|which|how|who)\b(?! (?:if|happens)\b)")
"""Words that ask for a thing, a place or a way, and for no leave: 'what should I grab'."""


def asks_whether_safe(text: str) -> bool:
    """Whether it is asked for leave to do what can hurt: 'want me to shut it off before I grab these cables?'."""
    said = _plain(text)
    whether = _WHETHER.search(said) is not None and _WHICH.search(said) is None
    return bool(_HANDS.search(said)) and (whether or _LEAVE.search(said) is not None)


def asks_plainly(text: str) -> bool:
    """Whether safety itself is asked for, by its name or for hands that go somewhere, and not only what to switch."""
    said = _plain(text)
    return bool(_LEAVE.search(said) or _PLAINLY.search(said))


_PLAINLY = re.compile(r"\b(?:hands?|grab|touch|reach|crawl|under|gloves?|glasses|goggles)\b")
_BATTERY = re.compile(
    "|".join(
        (
            (
                rf"\b(?:batter\w*|case|one of (?:these|them|'em|em)|it|cell|side|sides|top)\b{_ANY}"
                r"\b(?:swole\w*|swollen|swelled|swelling|bulg\w+|bloat\w+|puff(?:ed|y)\w*|ballooned)\b"
            ),
            r"\b(?:swole|swollen|bulging|bulged|bloated|puffed)\b[^.!?;]*\b(?:batter\w*|case|cell)\b",
            (
                r"\b(?:leak\w*|drip\w*|spill\w*|splash\w*|squirt\w*|spit\w*|spray\w*|weep\w*|seep\w*|ooz\w*|"
                r"pour\w*)\b[^.!?;]*\b(?:acid|electrolyte)\b"
            ),
            (
                r"\b(?:acid|electrolyte)\b[^.!?;]*\b(?:on my|on me|in my|all over|everywhere|leak\w*|drip\w*|"
                r"spill\w*|splash\w*|runn?ing|coming out|on the (?:floor|tray))\b"
            ),
            (
                r"\bbatter\w*\b[^.!?;]*\b(?:leaking|dripping|smok\w+|steaming|hissing|boiling|bubbling|gassing|"
                r"sizzl\w+|cracked|split|busted open|broke open|blew|exploded|froze\w*)\b"
            ),
            r"\b(?:cracked|split|busted|leaking|frozen|hissing|boiling)\s+(?:battery|case)\b",
            (
                r"\b(?:wrench|ratchet|socket|tool|ring|watch|bar|screwdriver|pliers|clamp|cable|"
                r"jumper)\b[^.!?;]*\b(?:across|touched|hit|shorted|between|on) (?:the |both |two )*(?:posts|"
                r"terminals|post and)\b"
            ),
            (
                r"\b(?:spark\w*|arc|arcs|arced|arcing|flash\w*)\b[^.!?;]*\b(?:post|posts|battery|batteries|"
                r"terminal\w*|clamp)\b"
            ),
            (
                r"\b(?:post|posts|battery|batteries|terminal\w*|clamp)\b[^.!?;]*\b(?:spark\w*|arced|arcing|"
                r"flashed|popped and)\b"
            ),
            r"\b(?:rotten eggs?|egg smell|smells? (?:like )?(?:eggs?|sulfur|sulphur)|sulfur smell)\b",
        )
    )
)
_LIFTED = re.compile(
    "|".join(
        (
            (
                r"\b(?:jack|stand|stands|blocks?|landing gear)\b(?!\s*shaft)[^.!?;]*\b(?:slip\w*|sink\w*|sank|"
                r"lean\w*|tilt\w*|kick\w* out|bent|crack\w*|crooked|walking|leaking down|bleeding down|"
                r"coming down|going down|creep\w*|gave|giving)\b"
            ),
            r"\b(?:only|just|nothing but) (?:on )?(?:a|the|one|this) (?:\w+ )?jack\b",
            r"\b(?:all|only thing) (?:i|we)(?:'ve)? (?:got|have)\b[^.!?;]*\bjack\b",
            (
                r"\b(?:no|ain't got|don't have|without|out of|forgot the|short (?:a|on)) (?:any |no |"
                r"a )?(?:jack ?)?stands?\b"
            ),
            (
                r"\b(?:trailer|truck|tractor|axle|unit|whole thing|load)\b[^.!?;]*\b(?:shifted|dropped|settled|"
                r"lurched|rocked|moved|slid|rolled|is tipping|is moving)\b[^.!?;]*\b(?:on me|under it|on (?:the|"
                r"its) (?:jack|stands?)|while i)\b"
            ),
            r"\b(?:chock|chocks)\b[^.!?;]*\b(?:slip\w*|slid|popped|kicked|rolled over|fell|gone|missing|broke)\b",
        )
    )
)
_AIR = re.compile(
    "|".join(
        (
            (
                r"\b(?:clamp|band|chamber|can|spring brake|piggy ?back|pot|spring)\b[^.!?;]*\b(?:crack\w*|"
                r"rusted (?:out|through)|rotted|let go|popped|busted|broke|broken|bulg\w+|coming apart|"
                r"came apart|loose band)\b"
            ),
            (
                r"\b(?:cage|caging) bolt\b[^.!?;]*\b(?:bent|strip\w*|missing|won't|broke\w*|snapped|gone|loose|"
                r"fell|slipp\w*|came out|not there)\b"
            ),
            r"\bpush ?rod\b[^.!?;]*\b(?:jumped|moved|shot|popped|snapped|kicked|came at|by itself|on its own)\b",
            (
                r"\b(?:hose|line|glad ?hand|tank|air)\b[^.!?;]*\b(?:whip\w*|about to blow|let go|burst|blew off|"
                r"popped off|ruptured)\b"
            ),
            (
                r"\b(?:pressure|air|gauge)\b[^.!?;]*\b(?:dropping|falling|bleeding|leaking) (?:fast|off fast|"
                r"down fast|quick)\b"
            ),
        )
    )
)
_WHEEL = re.compile(
    "|".join(
        (
            (
                r"\b(?:wheel|wheels|hub|tire|drum)\b[^.!?;]*\b(?:about to|gonna|going to|fixing to|"
                r"ready to) (?:come|fall|drop)\b"
            ),
            (
                r"\b(?:stud|studs|lug|lugs|lug nuts?|wheel nuts?)\b[^.!?;]*\b(?:broke\w*|snapped|sheared|missing|"
                r"stripped|loose|gone|fell)\b"
            ),
            (
                r"\b(?:bulge|bubble|zipper|zippering|egg)\b[^.!?;]*\b(?:sidewall|tire|side of)\b|\b(?:sidewall|"
                r"tire)\b[^.!?;]*\b(?:bulg\w+|bubbl\w+|zipper\w*|popping|about to blow)\b"
            ),
            r"\b(?:runaway|rolled away|started rolling|rolling on its own)\b",
        )
    )
)
_FUMES = re.compile(
    "|".join(
        (
            r"\b(?:dizzy|light ?headed|woozy|gonna pass out|passing out|can't breathe|hard to breathe|choking)\b",
            (
                r"\b(?:exhaust|fumes|carbon monoxide|smoke)\b[^.!?;]*\b(?:full of|filling|getting to me|thick|"
                r"bad in here|in here|headache|sick)\b"
            ),
            r"\b(?:shop|bay|cab)\b[^.!?;]*\b(?:full of|filling (?:up )?with) (?:exhaust|smoke|fumes)\b",
            (
                r"\b(?:smell\w*|leak\w*|drip\w*|spray\w*|pour\w*)\b[^.!?;]*\b(?:gasoline|diesel|propane|fuel|"
                r"natural gas)\b"
            ),
            (
                r"\b(?:fuel|diesel|gasoline|propane)\b[^.!?;]*\b(?:leak\w*|drip\w*|spray\w*|pour\w*|all over|"
                r"everywhere|on the floor)\b"
            ),
        )
    )
)
_KINDS = {"battery": _BATTERY, "lifted": _LIFTED, "air": _AIR, "wheel": _WHEEL, "fumes": _FUMES}
_DENIED = re.compile(r"\b(?:not|isn't|ain't|aren't|no|never|wasn't)\b(?!\s+there)")
_NOT_SO = re.compile(
    r"\b(?:no|not|isn't|ain't|aren't|never|don't see|didn't|wasn't|without|nothing|none|if|used to|looking for|"
    r"check for|checked for|any)\b(?!\s+(?:stands?|jack ?stands?|there))"
)
"""Words before a danger that say that it is none."""


def hazard_words(text: str) -> frozenset[str]:
    """The longer words that tell the danger."""
    found = next((hit for hit in (one.search(_plain(text)) for one in _KINDS.values()) if hit is not None), None)
    return frozenset(re.findall(r"[a-z]{5,}", found.group())) if found is not None else frozenset()


def hazard_of(text: str) -> str:
    """The kind of a danger that is told: ``battery``, ``lifted``, ``air``, ``wheel`` or ``fumes``; '' for none.

    What is denied or supposed is none; a question may tell one ('it's swollen, is it safe to charge?').
    """
    said = _plain(text)
    for kind, pattern in _KINDS.items():
        found = pattern.search(said)
        if found is None or _NOT_SO.search(re.split(r"[,.;!?]", said[: found.start()])[-1]):
            continue
        if kind == "lifted" or not _DENIED.search(found.group()):
            return kind
    return ""


_TOPICS = (
    (
        re.compile(r"\bunder\b|underneath|crawl|jack|stand|lift|raise|off the ground|in the air|block"),
        re.compile(r"\bjack\b|stands? on|rated stands"),
    ),
    (re.compile(r"crank|start it|start her|start the|fire it"), re.compile(r"crank|engine runs|engine running")),
    (re.compile(r"engine|running|belt|fan\b|shut (?:it|her)|kill"), re.compile(r"engine off|belts?\b|engine run")),
    (
        re.compile(r"batter|post|terminal|cable|charg|jump|ground|acid|spark|positive|negative"),
        re.compile(r"batter|ground cable"),
    ),
    (re.compile(r"cage|caged|spring|chamber|clamp"), re.compile(r"spring brake")),
    (re.compile(r"\bair\b|hose|line|drain|bleed|pushrod|pedal|tank"), re.compile(r"air in the tanks|pushrod|pedal")),
    (re.compile(r"wheel|drum|tire|hub|spin"), re.compile(r"before you turn|heavy|bulge")),
    (re.compile(r"load|hot"), re.compile(r"load gets hot")),
    (re.compile(r"dust|blow"), re.compile(r"brake dust")),
    (re.compile(r"glove|glass|goggle|\beye|shield"), re.compile(r"eye protection|gloves")),
    (re.compile(r"\broll|drive|move"), re.compile(r"drive only where|before it rolls")),
)  # fmt: skip


def about(text: str, caution: str) -> bool:
    """Whether a caution speaks of what a safety question names."""
    said, told = _plain(text), caution.lower()
    return any(asked.search(said) and answer.search(told) for asked, answer in _TOPICS)


_RUNS = re.compile(r"\b(?:engine|still running|running|shut (?:it|her)|kill (?:it|the)|belts?|fan)\b")


_ASKS = re.compile(
    r"^(?:(?:so|wait|and|but|hey|ok|okay|well|uh|um|now|then|no|yeah|yes|hold on|hang on|oh|man|"
    r"buddy|alright)[,\s]+)*(?:"
    r"(?:what|what's|whats|which|where|where's|when(?! (?:i|we|i'm|it's|it is|he|she|they)\b)|why|who|"
    r"how|how's|how come)\b"
    r"(?! (?:i|we) (?:got|get|have|see|read)\b)"
    r"|(?:do|does|did|can|could|should|would|will|is|are|am|was|were|has|have|isn't|doesn't|don't|aren't|shouldn't"
    r"|wouldn't|won't|can't|ain't|wasn't|didn't|gonna) (?:i|we|you|it|he|she|they|this|that|there|these|those|my)\b"
    r"(?! (?:one|know|see|worry|mind|sweat))"
    r"|(?:you )?(?:want|need) me to\b|you sure\b|any (?:idea|way|chance)\b)"
)


def asks(text: str) -> bool:
    """Whether words have the form of a question, one of their clauses or all of them: such words answer nothing."""
    said = _plain(text).strip()
    return "?" in said or any(_ASKS.match(piece.strip()) for piece in re.split(r"[,;:!]|\.(?!\d)", said))


_HOW = re.compile(
    r"\bhow (?:do|does|can|would|should|am|are|is|the|in)\b|\b(?:is there|any) (?:a |some |other )*way\b"
)


def asks_how(text: str) -> bool:
    """Whether it is asked how something is done, or whether there is a way."""
    return _HOW.search(_plain(text)) is not None


def engine_named(text: str) -> bool:
    """Whether a safety question is about an engine that runs."""
    return _RUNS.search(_plain(text)) is not None


_OVER = re.compile(
    r"\b(?:we're|we are|i'm|i am|everything's|it's|all|everybody's) (?:all )?"
    r"(?:good|ok|okay|fine|clear|safe|out|over)\b"
    r"|\b(?:false alarm|just steam|just dust|put it out|it's out|no big deal|nobody's hurt|all clear)\b"
)
_MADE_SAFE = re.compile(
    r"(?:(?:ok|okay|alright|yeah)[,\s]+)*(?:the |my )?(?:fuel|power|air|key|engine|lights?|lamps?|pump|motor)"
    r"(?:'s|'re| is| are)? (?:been )?(?:cut|off|killed|shut|shut off|shut down|out|pulled|dumped|drained)"
    r"(?: off)?(?: now| too)?[.!]?"
)


def told_over(text: str) -> bool:
    """Whether a danger is told to be over: 'we're good, it was just steam'."""
    return _OVER.search(_plain(text)) is not None


_NO_GOOD = re.compile(
    r"\b(?:bad|dead|weak|junk|shot|toast|no good|worn out) (?:battery|batteries|cell|alternator|starter)\b"
)


_TOLD_OF_ROLLING = re.compile(
    r"\b(?:after|when|while|not|haven't|never|doesn't|before|only)\b[^.!?;]*"
    r"\broll(?:ing|s|ed)?\b(?! (?:away|on|at|over))"
)


def only_of_rolling(text: str) -> bool:
    """Whether it is told when something shows, which is no danger: 'not after rolling'."""
    return _TOLD_OF_ROLLING.search(_plain(text)) is not None


def only_no_good(text: str) -> bool:
    """Whether a part is told to be no good, which is no danger: 'I think it's a bad battery'."""
    return _NO_GOOD.search(_plain(text)) is not None


def made_safe(text: str) -> bool:
    """Whether something is told to be switched off, which sounds like a danger and is none: 'fuel's cut'."""
    return _MADE_SAFE.fullmatch(_plain(text).strip()) is not None


_UNDER = re.compile(r"\bunder\b|underneath|crawl|\bjack|off the ground|in the air")


def lifted_named(text: str) -> bool:
    """Whether a safety question is about something that is lifted, or about going under it."""
    return _UNDER.search(_plain(text)) is not None


def _plain(text: str) -> str:
    return text.lower().replace("’", "'")
