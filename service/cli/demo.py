"""`demo`: one condition posted to a real server on this machine, the answer printed for a person."""

import json
import sys

from service.app import create_app
from service.cli.answer_text import answer_text
from service.cli.local_server import local_server
from service.cli.process_log import log_as_json
from service.cli.worksheet_text import worksheet_text
from service.client import Refused, ServiceClient
from service.demo import condition_names, demo_vessel_ids, read_condition, read_vessel
from service.settings import Settings
from service.wire.compact_working import nodes_of

REFUSED = 3
DEFAULT_VESSEL = "halvenmoor"
DEFAULT_CONDITION = "departure-homogeneous"


def demo(vessel_id: str | None, condition: str | None, *, only_names: bool, working: bool = False) -> int:
    """Post a demonstration condition and print its assessment; the exit code."""
    if only_names:
        for each in demo_vessel_ids():
            print(each, *condition_names(each), sep="\n  ")
        return 0
    try:
        vessel_id = vessel_id or DEFAULT_VESSEL
        condition = condition or (
            DEFAULT_CONDITION if vessel_id == DEFAULT_VESSEL else condition_names(vessel_id)[0]
        )
        document = json.loads(read_condition(vessel_id, condition))
    except KeyError as unknown:
        print(f"There is no {unknown}; `demo --list` names what there is.", file=sys.stderr)
        return REFUSED
    log_as_json("error")
    with (
        local_server(create_app(Settings(access_log=False, database_url=""))) as url,
        ServiceClient(url) as client,
    ):
        try:
            answer = client.assess({"vessel_id": vessel_id, "condition": document}, working=working)
        except Refused as refused:
            print(refused, file=sys.stderr)
            return REFUSED
        print(f"POST {url}/v1/assessments   vessel {vessel_id}, condition {condition}\n")
        print(answer_text(answer))
        if working:
            documents = {"vessel": json.loads(read_vessel(vessel_id)), "condition": document}
            titles = {row["id"]: f"{row['clause']}: {row['title']}" for row in answer["criteria"]}
            sheet = worksheet_text(nodes_of(answer["working"]), documents, titles)
            print(f"\n\n{sheet}\n{answer['caution']}")
    return 0
