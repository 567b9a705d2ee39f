"""Templates of a ship: kept from a condition, listed, begun with, written over, removed, and never forgotten."""

from service.pages.sheet.templates import name_of_template
from tests.pages.harbour import Harbour, form_fields, text_of_page


def test_a_template_is_kept_begun_with_and_removed(harbour: Harbour) -> None:
    condition = harbour.enter()
    with harbour.reader("ship") as reader:
        action = f"/conditions/{condition}/template"
        form = form_fields(reader.get(f"/conditions/{condition}").text, action)
        ship = reader.post(action, data={**form, "template": "Ballast <standard>"})
        assert ship.url.path == "/vessels/halvenmoor/conditions"
        assert "New from “Ballast <standard>”" in text_of_page(ship)
        assert (
            "Ballast <standard>"
            not in text_of_page(reader.get("/vessels/halvenmoor")).split("table by table")[0]
        )
        name = "template-ballast-standard"
        kept = f"/v1/vessels/halvenmoor/unfinished/{name}"
        stored = harbour.http.get(kept, headers=harbour.bearer("ship")).json()
        assert stored["expires"].startswith("9999")
        assert stored["document"]["title"] == "Ballast <standard>"
        assert "voyage" not in stored["document"]
        sheet = reader.get("/vessels/halvenmoor/conditions/new?template=ballast-standard")
        fields = form_fields(sheet.text, "/vessels/halvenmoor/conditions/new?template=ballast-standard")
        assert fields["title"] == "Ballast <standard>"
        starts = text_of_page(reader.get("/vessels/halvenmoor/conditions/new"))
        assert "Ballast <standard>, a template" in starts
        reader.post(action, data={**form, "template": "Ballast <standard>"})
        again = harbour.http.get(kept, headers=harbour.bearer("ship")).json()
        assert again["number"] == stored["number"] + 1
        remove = f"/vessels/halvenmoor/templates/{name}/remove"
        form = form_fields(reader.get("/vessels/halvenmoor/conditions").text, remove)
        assert "Ballast <standard>" not in text_of_page(reader.post(remove, data=form))
        gone = reader.get("/vessels/halvenmoor/conditions/new?template=ballast-standard")
        assert gone.status_code == 404
        nameless = {**form_fields(reader.get(f"/conditions/{condition}").text, action), "template": "—"}
        empty = reader.post(action, data=nameless)
        assert empty.status_code == 422
        assert "Give it a name" in text_of_page(empty)


def test_names_of_templates() -> None:
    assert name_of_template("Départ, plein été!") == "template-depart-plein-ete"
    assert name_of_template("東京") == ""
    assert len(name_of_template("x" * 200)) == 64
