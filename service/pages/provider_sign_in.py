"""Sign in with the identity provider of the organisation: there and back."""

from fastapi import APIRouter, Request
from starlette.exceptions import HTTPException
from starlette.responses import Response

from service.actions.access import Caller, on_behalf
from service.actions.notices.sign_ins import Said, note_sign_in
from service.actions.signed_text import signed_document, signed_text
from service.pages import session
from service.pages.page import PageRoute, go_to, page, page_parts_of, sign_in_page
from service.pages.sign_in import own_address
from service.web.caller import in_thread, require_few_unknown_keys
from service.web.identity_provider import (
    Begun,
    IdentityProvider,
    NotAdmitted,
    Person,
    ProviderDown,
    SignInFailed,
)

router = APIRouter(route_class=PageRoute, include_in_schema=False)
COOKIE = "loading_sign_in"
PATH = "/sign-in/provider"
SECONDS_TO_SIGN_IN = 600


@router.get(PATH)
async def get_provider(request: Request) -> Response:
    """Send the browser to the provider; it keeps what the answer must fit."""
    provider, target = _provider(request), own_address(request.query_params.get("to", "/"))
    try:
        address, begun = await provider.begin()
    except ProviderDown as down:
        return sign_in_page(request, reason=str(down), target=target, status=503)
    answer = go_to(address)
    held = {"state": begun.state, "nonce": begun.nonce, "verifier": begun.verifier, "target": target}
    answer.set_cookie(
        COOKIE,
        signed_text(page_parts_of(request).access.sign_in_key, held, SECONDS_TO_SIGN_IN),
        max_age=SECONDS_TO_SIGN_IN,
        path=PATH,
        httponly=True,
        samesite="lax",  # it comes back on the way from another site
        secure=request.url.scheme == "https",
    )
    return answer


@router.get(PATH + "/answer")
async def get_answer(request: Request) -> Response:
    """Back from the provider: a page that goes on by itself, since a cookie given on the way from another site would
    not be sent at once."""
    provider, access = _provider(request), page_parts_of(request).access
    held = signed_document(access.sign_in_key, request.cookies.get(COOKIE, ""))
    try:
        if held is None:
            raise SignInFailed("This sign-in was not begun here, or took too long.")
        begun = Begun(held["state"], held["nonce"], held["verifier"])
        person = await provider.finish(request.query_params, begun)
    except SignInFailed as failed:
        status = 503 if isinstance(failed, ProviderDown) else 401
        if isinstance(failed, NotAdmitted):
            await _note(request, Caller(failed.id, failed.name, "", None), None)
        if status == 401:
            require_few_unknown_keys(request)
        answer = sign_in_page(
            request, reason=str(failed), target=held["target"] if held else "/", status=status
        )
    else:
        assert held is not None
        token = access.session(
            person.id, person.name, person.role, person.vessels, session.LASTS_SECONDS, person.fleets
        )
        caller = await in_thread(request, access.caller, token)
        await _note(request, caller, person)
        reader = session.new_reader(caller, token)
        answer = page(request, "signed_in.html", reader, target=held["target"])
    answer.headers["Cache-Control"] = "no-store"
    answer.delete_cookie(COOKIE, path=PATH, httponly=True, samesite="lax")
    return answer


async def _note(request: Request, caller: Caller, person: Person | None) -> None:
    """Let mail follow what the provider says now. Raises Refusal."""
    parts = page_parts_of(request)
    assert parts.sign_in_rule is not None
    said = person and Said(person.role, person.role_said, person.vessels, person.fleets)
    address = request.client.host if request.client else None
    known = on_behalf(caller, request.state.request_id, address)
    await in_thread(request, note_sign_in, parts.records, parts.sign_in_rule, known, said)


def _provider(request: Request) -> IdentityProvider:
    provider = page_parts_of(request).provider
    if provider is None:
        raise HTTPException(404)
    return provider
