"""What is assumed is said only of what it says something of."""

from __future__ import annotations

from partsolver.catalog.dictionary import data_folder
from partsolver.catalog.load import load_catalog
from partsolver.plan.assumed import assumptions
from partsolver.problem.join import join
from partsolver.report.hoped import assumed_lines
from partsolver.solve.recommend import recommend
from partsolver.survey.load import load_survey


def test_nothing_is_assumed_of_a_licence_that_only_an_adapter_has() -> None:
    survey, brief = load_survey(data_folder() / "demo-survey.toml")
    problem = join(survey, load_catalog(data_folder() / "demo"), brief)
    plans = recommend(problem).plans
    bought = {line.item for plan in plans for line in plan.draft.lines}
    assert {problem.extras[item].kind for item in bought if item in problem.extras} >= {"os-licence"}
    for plan in plans:
        for item in assumptions(problem, plan.draft):
            if item.table == "extras":
                kind = problem.extras[item.id].kind
                assert item.column != "active" or kind == "display-adapter"
                assert item.column != "low_profile" or kind.endswith(("controller", "bracket", "card"))
        said = " ".join(assumed_lines(problem, plan.draft, problem.names))
        assert "converts" not in said and "convert actively" not in said and "0.00" not in said
