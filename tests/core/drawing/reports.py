"""Reports made by hand, so that drawings are tested without an analysis."""

from dataclasses import fields
from types import MappingProxyType

from core.analysis.report import Report, RunReport
from core.catalogue.standard import standard_catalogue
from core.geometry.runs import SagProfile
from core.model.barn import Barn
from core.placement.runs import run_body
from core.placement.solids import Group
from core.rules.evidence import Contact, RunEvidence
from core.rules.finding import Finding, Outcome

CATALOGUE = standard_catalogue()
SAG = SagProfile(stations=(0.0, 180.0, 360.0), depths=(0.0, 0.5, 0.0))


def light_contact(band=(70.0, 80.0)) -> Contact:
    """The specimen's light blocks run-1 between two heights, at two feet of it."""
    return Contact(
        other="light-1",
        part="body",
        group=Group.FIXTURE,
        bands=(band,),
        clearance=4.0,
        at_height=76.0,
        on_run=(120.0, 60.0, 76.0),
        on_other=(120.0, 64.0, 76.0),
        stations=((84.0, 108.0),),
    )


def breach(contact: Contact) -> Finding:
    """The finding of that contact."""
    return Finding(
        rule="clearance.envelope",
        code="inside-envelope-on-the-way",
        outcome=Outcome.STOP,
        subject="run-1",
        other=contact.other,
        value=contact.clearance,
        limit=6.0,
        unit="gap",
        height=contact.at_height,
        points=(contact.on_run, contact.on_other),
        message="{subject} comes within {value} of {other}.",
    )


def report_of(barn: Barn, *, contact: Contact | None = None, sag=SAG) -> Report:
    """A report in which run-1 has one contact and the other runs have none."""
    runs = {}
    for run in barn.runs:
        body = run_body(run, barn.room, CATALOGUE, sag=sag)
        contacts = (contact,) if contact and run.id == "run-1" else ()
        blocked = contacts[0].bands if contacts else ()
        known = {
            "run": run,
            "room": barn.room,
            "catalogue": CATALOGUE,
            "body": body,
            "contacts": contacts,
        }
        # what drawings do not look at stays empty
        empty = {field.name: None for field in fields(RunEvidence)}
        evidence = RunEvidence(**(empty | known))
        runs[run.id] = RunReport(
            usable=(),
            blocked=blocked,
            working_free=True,
            stow_free=True,
            way_free=not blocked,
            evidence=evidence,
        )
    return Report(
        barn=barn,
        findings=(breach(contact),) if contact else (),
        runs=MappingProxyType(runs),
        overrides=(),
        unknown_overrides=(),
    )
