"""Changes as an Atom feed for people's readers. Source: RFC 4287; ids are URNs of UUIDs (RFC 9562, version 8)."""

from collections.abc import Sequence
from uuid import UUID
from xml.etree.ElementTree import Element, SubElement, tostring

from service.actions.news import News
from service.wire.assessment import CAUTION
from service.wire.verdict_words import load_line_margin, stability_margin, verdict_words

ATOM = "application/atom+xml"
_NAMESPACE = "http://www.w3.org/2005/Atom"
_NO_CHANGE_YET = "0" * 64
_STATES = {
    "worked_on": "worked on",
    "in_force": "in force",
    "put_aside": "put aside",
    "withdrawn": "withdrawn",
    "active": "active",
}


def atom_feed(news: Sequence[News], first: str | None, moment: str, base: str) -> bytes:
    """The document. first: digest of the first change, which tells this feed from every other; moment: the time of the
    answer, for a feed without entries; base: address of the service, without a slash at its end."""
    feed = Element("feed", {"xmlns": _NAMESPACE, "xml:lang": "en"})
    _text(feed, "id", _urn(first or _NO_CHANGE_YET, "feed"))
    _text(feed, "title", "Loading conditions: changes")
    _text(feed, "subtitle", CAUTION)
    _text(feed, "updated", news[0].change["created"] if news else moment)
    _text(SubElement(feed, "author"), "name", "Loading conditions")
    SubElement(feed, "link", {"rel": "self", "type": ATOM, "href": f"{base}/v1/changes"})
    for each in news:
        _entry(feed, each, base)
    text: str = tostring(feed, encoding="unicode")
    return ('<?xml version="1.0" encoding="utf-8"?>\n' + text).encode()


def _entry(feed: Element, news: News, base: str) -> None:
    change = news.change
    entry = SubElement(feed, "entry")
    _text(entry, "id", _urn(change["digest"], "change"))
    about = news.vessel_name if news.title is None else f"{news.vessel_name}: {news.title}"
    _text(entry, "title", f"{about}, {_event(news)}")
    _text(entry, "updated", change["created"])
    _text(entry, "published", change["created"])
    SubElement(entry, "category", {"term": change["event"]})
    page = f"/vessels/{change['vessel']}"
    if change["condition"] is not None:
        page = f"/conditions/{change['condition']}/revisions/{change['revision']}"
    SubElement(entry, "link", {"rel": "alternate", "type": "text/html", "href": base + page})
    _text(entry, "summary", _summary(news))


def _event(news: News) -> str:
    change = news.change
    event: str = change["event"]
    if event == "review":
        return f"revision {change['revision']} {change['decision']}"
    if event == "state":
        return _STATES.get(str(change.get("state")), "another state")
    return f"revision {change['revision']}"


def _summary(news: News) -> str:
    change = news.change
    if change["verdict"] is None:
        return "Data of the vessel."
    parts = [verdict_words(change["verdict"], change["dangers"])]
    if margin := stability_margin(change["least_stability_margin"], "metric"):
        parts.append(f"least stability margin {margin}")
    if left := load_line_margin(change["load_line_margin"], "metric"):
        parts.append(left)
    return "; ".join(parts) + "."


def _text(parent: Element, name: str, text: str) -> None:
    SubElement(parent, name).text = "".join(c for c in text if c >= " " and c not in "\ufffe\uffff")


def _urn(digest: str, kind: str) -> str:
    """A URN that stays the same for what has that digest."""
    value = int(digest[:32], 16) ^ (kind == "feed")
    value = value & ~(0xF << 76) & ~(0x3 << 62) | 0x8 << 76 | 0x2 << 62
    return UUID(int=value).urn
