"""Who may import whom. `lint-imports` holds part of the same; this needs no tool and names the line."""

import ast

import pytest

from tests.architecture.source_tree import folder_of, imports_of, modules, modules_of, tree_of

# folder -> the folders it may import from, besides itself
ARROWS = {
    "core": set(),
    "wire": set(),
    "settings": set(),
    "storage": set(),
    "demo": {"core.hull"},
    "client": {"wire"},
    "translation": {"core", "wire"},
    "imports": {"wire"},
    "actions": {"translation", "wire", "storage", "demo", "imports"},
    "running": {"actions", "translation", "wire"},
    "web": {"running", "actions", "translation", "wire"},
    "api": {"web", "running", "actions", "translation", "wire"},
    "pages": {"web", "running", "actions", "translation", "wire"},
    "app": {"api", "pages", "web", "running", "actions", "translation", "wire", "settings", "demo"},
    "cli": {"app", "web", "running", "actions", "translation", "wire", "client", "settings", "demo"},
    "__main__": {"cli"},
    "service": set(),
}
CORE_MAY_USE = {
    "numpy", "abc", "bisect", "collections", "copy", "dataclasses", "enum", "functools", "itertools", "math",
    "statistics", "types", "typing",
}  # fmt: skip


@pytest.mark.parametrize("folder", ARROWS)
def test_arrows(folder: str) -> None:
    allowed = {folder, *ARROWS[folder]}
    for module in modules_of(folder):
        for imported in imports_of(module):
            if imported.split(".")[0] == "service":
                inside = imported.removeprefix("service.")
                assert any(f"{inside}.".startswith(f"{name}.") for name in allowed), (
                    f"{module} imports {imported}"
                )


def test_every_folder_has_its_arrows() -> None:
    assert {folder_of(module) for module in modules()} == set(ARROWS)


def test_the_core_has_numpy_and_no_clock_file_or_log() -> None:
    for module in modules_of("core"):
        for imported in imports_of(module):
            root = imported.split(".")[0]
            assert root == "service" or root in CORE_MAY_USE, f"{module} imports {imported}"
        for node in ast.walk(tree_of(module)):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
                assert node.func.id not in ("open", "print", "input", "exec", "eval"), (
                    f"{module}:{node.lineno}"
                )


KNOW_RULES = {
    "service.core.assessment",
    "service.core.finding",
    # these stand above the assessment and call it
    "service.core.voyage_result",
    "service.core.vcg_limit",
    "service.core.remedy",
    "service.core.search",
    "service.core.sampling",
}


def test_within_the_core_the_physics_know_no_rules() -> None:
    for module in modules_of("core"):
        targets = {imported for imported in imports_of(module) if imported.startswith("service.core")}
        about_rules = {target for target in targets if ".rules" in target}
        if module.startswith("service.core.rules"):
            assert "service.core.assessment" not in targets, module
            if module not in ("service.core.rules.catalogue", "service.core.rules"):
                assert "service.core.rules.catalogue" not in targets, f"{module} knows the catalogue"
        elif module.startswith("service.core.hull"):
            assert all(target.startswith("service.core.hull") for target in targets), (
                f"{module} imports {targets}"
            )
        elif module not in KNOW_RULES:
            assert not about_rules, f"{module} imports {about_rules}"


def test_rule_documents_do_not_import_one_another() -> None:
    shared = {
        f"service.core.rules.{name}"
        for name in (
            *("limit", "catalogue", "edge_bound", "general_curve", "measured_lever", "wind_area"),
            *("curve_rows", "hull_figures", "alternatives"),
        )
    }
    documents = {name for name in modules() if name.startswith("service.core.rules.")} - shared
    for module in documents:
        others = (documents - {module}) & set(imports_of(module))
        assert not others, f"{module} imports {others}"
