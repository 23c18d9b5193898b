"""The page of the interface names every key of a plan, in and out."""

from __future__ import annotations

import pytest

from logbook import open_logbook
from logbook.domain.plan import DiversionInput, LegInput, PaceInput, PackInput, PlanInput
from logbook.paths import sample_file
from tests.docs.pages import DOCS, blocks, spans, text_of

_INTERFACE, _VERDICT = DOCS / "interface.md", DOCS / "planning" / "verdict.md"


@pytest.mark.parametrize("model", [PlanInput, PackInput, LegInput, DiversionInput, PaceInput])
def test_every_key_of_a_plan_is_on_the_page(model) -> None:
    section = text_of(_INTERFACE).split("## Plans as JSON", 1)[1].split("\n## ", 1)[0]
    keys = {field.alias or name for name, field in model.model_fields.items()}
    assert {key for key in keys if f"`{key}`" not in section} == set()


def test_the_example_of_a_plan_is_one() -> None:
    (example,) = [code for code in blocks(_INTERFACE, "json") if '"legs"' in code]
    plan = PlanInput.model_validate_json(example)
    assert len(plan.legs) == 2


def test_every_key_of_an_answer_is_on_the_pages(tmp_path) -> None:
    copy = tmp_path / "book.logbook"
    copy.write_bytes(sample_file().read_bytes())
    copy.chmod(0o600)
    named = {word.removesuffix("[]") for page in (_INTERFACE, _VERDICT) for word in spans(page)}
    with open_logbook(copy) as book:
        answer = book.plan({"aircraft": "ZZ-AMP", "legs": [{"kind": "circuits", "circuits": 4}]})
    assert set(answer) - named == set()
    assert set(answer["packs"][0]) - named == set()
    assert set(answer["legs"][0]) - named == set()
