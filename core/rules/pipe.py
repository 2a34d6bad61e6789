"""Rules on the pipe as a beam on ropes."""

from collections.abc import Iterator

from core.rules.evidence import RunEvidence
from core.rules.finding import Finding, Outcome
from core.rules.registry import Limits, Scope, breach_of, rule

__all__ = ["sag"]


def _unsolved(run: RunEvidence) -> Finding:
    return Finding(
        rule="pipe.sag",
        code="unsolved",
        outcome=breach_of("pipe.sag"),
        subject=run.run.id,
        unit="gap",
        message="How {subject} hangs cannot be worked out: {why}.",
        remedy="Move supports or joints of {subject}, or take stiffer joints.",
        details={"why": run.pipe.trouble},
        urgency=1,
    )


def _span_words(span: tuple[str, str, float]) -> str:
    a, b, _ = span
    if a and b:
        return f"between {a} and {b}"
    return f"before {b}" if b else f"beyond {a}"


def _sag_finding(run: RunEvidence, span: tuple[str, str, float]) -> Finding:
    kept = span[2] <= run.sag_limit
    return Finding(
        rule="pipe.sag",
        code="kept" if kept else "sags",
        outcome=Outcome.PASS if kept else breach_of("pipe.sag"),
        subject=run.run.id,
        other=span[1] or span[0],
        value=span[2],
        limit=run.sag_limit,
        unit="gap",
        station=run.pipe.lowest_station,
        message="{subject} sags {value} {where}; at most {limit} is allowed.",
        remedy=""
        if kept
        else "Put a support nearer, take a stiffer tube or joint, or raise the job's "
        "sag limit if the clearances allow it.",
        details={"where": _span_words(span)},
    )


def _slack_finding(run: RunEvidence, support: str) -> Finding:
    return Finding(
        rule="pipe.sag",
        code="slack-rope",
        outcome=breach_of("pipe.sag", "slack-rope"),
        subject=run.run.id,
        other=support,
        value=0.0,
        unit="lb",
        station=run.station(support),
        message="The rope at {other} of {subject} carries nothing: its neighbours hold "
        "the pipe up.",
        remedy="Shorten the rope at {other} until it bears, or leave it out.",
    )


def _joint_finding(run: RunEvidence, joint: tuple[float, str, float]) -> Finding:
    station, support, away = joint
    return Finding(
        rule="pipe.sag",
        code="joint-at-insulator",
        outcome=breach_of("pipe.sag", "joint-at-insulator"),
        subject=run.run.id,
        other=support,
        value=away,
        limit=_JOINT_GAP,
        unit="gap",
        station=station,
        message="A joint of {subject}, {station} from its front end, is {value} from "
        "the insulator at {other}; at least {limit} is asked for.",
        remedy="Cut the first stick so that no joint is under an insulator.",
    )


_JOINT_GAP = 3.0  # [in] common practice, no published source


@rule(
    "pipe.sag",
    protects="A sagging pipe comes nearer to what is below it; a slack rope carries "
    "nothing, and its neighbours carry more than was thought.",
    limits={},
    unit="gap",
    breach=Outcome.STOP,
    by_code={"slack-rope": Outcome.CAUTION, "joint-at-insulator": Outcome.CAUTION},
    source="Roark, 7th ed., ch. 8; AISC Manual Table 3-23; the limit is the job's",
    scope=Scope.RUN,
)
def sag(run: RunEvidence, limits: Limits) -> Iterator[Finding]:
    """Ask that the pipe hangs by all its ropes, within the job's sag."""
    del limits
    if run.pipe.trouble:
        yield _unsolved(run)
        return
    over = [span for span in run.pipe.spans if span[2] > run.sag_limit]
    worst = [max(run.pipe.spans, key=lambda span: span[2])] if run.pipe.spans else []
    for span in over or worst:
        yield _sag_finding(run, span)
    for support in run.pipe.slack:
        yield _slack_finding(run, support)
    for joint in run.pipe.joints:
        if joint[2] < _JOINT_GAP:
            yield _joint_finding(run, joint)
