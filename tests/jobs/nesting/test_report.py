from jobs.nesting import Budget, Rules, plan_pull
from jobs.nesting.report import length_sentence
from shopapp.figures import explain
from tests.jobs.nesting.jobs_at_random import blank, roll


def test_a_proven_length_is_called_the_shortest():
    plan = plan_pull(
        blanks=[blank("a", 1400, 5790)],
        rolls=[roll()],
        rules=Rules(),
        budget=Budget(tries=0),
    )
    assert str(length_sentence(plan)) == "Length 5.79 m; no plan can be shorter."


def test_an_open_length_stands_beside_its_bound():
    blanks = [blank("a", 900, 1000), blank("b", 600, 1000), blank("c", 800, 500)]
    plan = plan_pull(
        blanks=blanks, rolls=[roll()], rules=Rules(), budget=Budget(tries=0)
    )
    assert plan.length_mm == 1500
    said = length_sentence(plan)
    assert str(said).startswith("Length 1.5 m; no plan can be shorter")
    for name, value in said.params:
        if name in ("length", "least"):
            assert explain(value.made_by).source


def test_every_figure_can_be_opened():
    for name in (
        "plan.plan_pull",
        "bounds.quick_bound_mm",
        "barbound.bar_bound_mm",
        "report.waste_pct",
        "report.panel_by_panel_mm",
    ):
        opened = explain(f"jobs.nesting.{name}")
        assert opened.formula
        assert opened.source
