"""Worklists and weights as plain data for a script."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from pitcrew.bench import names
from pitcrew.bench.saying import job_words
from pitcrew.bench.standing import View, as_data, weight_data


def worklist_data(views: Sequence[View], book: str, at: int) -> dict[str, Any]:
    """The jobs of each robot, in order."""
    robots = [{"robot": item.robot, "jobs": _jobs(item)} for item in views]
    return {"book": book, "at": as_data(views, book, at)["at"], "robots": robots}


def _jobs(item: View) -> list[dict[str, Any]]:
    return [
        {
            "job": job_words(item.case, job),
            "verdict": job.verdict,
            "zone": names.zone_name(item.case, job.zone),
            "clears": [names.label(item.case, requirement) for requirement in job.clears],
            "minutes": job.minutes,
            "people": job.people,
        }
        for job in item.jobs
    ]


def weights_data(views: Sequence[View], book: str) -> dict[str, Any]:
    """Every configuration's weight of each robot."""
    robots = [
        {"robot": item.robot, "weights": [weight_data(item.case, row) for row in item.standing.weights]}
        for item in views
    ]
    return {"book": book, "robots": robots}
