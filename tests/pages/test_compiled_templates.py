"""Templates are made into code once a process, whichever application asks."""

import anyio
import pytest
from jinja2 import DictLoader, Environment

from service.pages import compiled_templates
from service.pages.compiled_templates import CompiledTemplates, compile_templates
from service.pages.page import Pages


def test_a_second_application_compiles_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(compiled_templates, "SECONDS_AFTER_THE_START", 0.0)
    anyio.run(compile_templates, Pages.new().environment)
    monkeypatch.setattr(Environment, "compile", None)
    anyio.run(compile_templates, Pages.new().environment)


def test_a_template_of_another_text_is_another_one() -> None:
    first, second = (Environment(bytecode_cache=CompiledTemplates(), autoescape=True) for _ in range(2))
    for environment, words in ((first, "calm"), (second, "rough"), (first, "calm")):
        environment.loader = DictLoader({"sea": words})
        assert environment.get_template("sea").render() == words
