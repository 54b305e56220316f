"""The catalogue of problems: one table; the answers, the pages and the API's document come from it.

Source of the form: RFC 9457, media type application/problem+json.
"""

from dataclasses import dataclass
from typing import Any, Final

MEDIA_TYPE: Final = "application/problem+json"


@dataclass(frozen=True, slots=True)
class Problem:
    """One type of problem: its fixed title, what it means, what to do, its extra members."""

    type: str
    status: int
    title: str
    meaning: str
    mend: str
    members: tuple[str, ...] = ()

    @property
    def uri(self) -> str:
        """The type as it stands in an answer: the path of the page that explains it."""
        return f"/problems/{self.type}"

    def page(self) -> str:
        """The page for people, in plain text."""
        lines = [f"{self.title} ({self.status})", "", self.meaning, "", f"What to do: {self.mend}"]
        if self.members:
            lines += ["", f"Members besides the common ones: {', '.join(self.members)}."]
        return "\n".join(lines) + "\n"


_ALL: Final = (
    Problem(
        "bad-request",
        400,
        "The request cannot be read",
        "Part of the request outside its body is broken, such as the Host header.",
        "Mend what the detail names and send the request again.",
    ),
    Problem(
        "malformed-body",
        400,
        "The body is not one JSON document",
        "The body is empty, cut short, too deeply nested, not UTF-8, or names a member twice.",
        "Send one JSON document in UTF-8 without byte-order mark; position tells where it breaks.",
        ("position",),
    ),
    Problem(
        "cursor-invalid",
        400,
        "The cursor does not fit this list",
        "The cursor was made for another list, filter or shop, or was changed on the way.",
        "Start again without a cursor and follow next as it is given.",
    ),
    Problem(
        "idempotency-key-missing",
        400,
        "The Idempotency-Key header is missing",
        "A call that stores something may be repeated safely only if it can be recognised.",
        'Send a header such as Idempotency-Key: "8f0c2b7e-...", new for each new record.',
    ),
    Problem(
        "unauthenticated",
        401,
        "No valid key",
        "The call needs a key and has none, or one that is unknown, expired or revoked.",
        "Send the header Authorization: Bearer KEY, once.",
    ),
    Problem(
        "forbidden",
        403,
        "The key may not do this",
        "The key is good, but its role does not allow the call.",
        "Use a key with the needed role.",
        ("needed_role",),
    ),
    Problem(
        "not-the-author",
        403,
        "Another shop's record",
        "All shops read the catalogue; only the shop that recorded an entry changes or retires it.",
        "Record it as your own shop knows it, and use that.",
    ),
    Problem(
        "not-found",
        404,
        "Nothing here",
        "There is no such path or record, or it belongs to another shop.",
        "Check the path and the id.",
    ),
    Problem(
        "method-not-allowed",
        405,
        "The method is not allowed here",
        "The path exists, but not for this method.",
        "Use one of the methods in allowed.",
        ("allowed",),
    ),
    Problem(
        "not-acceptable",
        406,
        "The answer is not available in the form asked for",
        "The Accept header names no form that is offered.",
        "Accept one of the forms in offered.",
        ("offered",),
    ),
    Problem(
        "request-timeout",
        408,
        "The request came too slowly",
        "The body did not come within the time for it; nothing was stored.",
        "Send the same request again over a better connection, or less at once.",
    ),
    Problem(
        "state-conflict",
        409,
        "The record's state forbids this",
        "The record, or what it depends on, is not in the state that the call needs.",
        "Read the record again and decide anew.",
        ("allowed_states",),
    ),
    Problem(
        "duplicate",
        409,
        "Such a record exists already",
        "A record with the same identifying members is stored.",
        "Use the record in existing_id, or change the members.",
        ("existing_id",),
    ),
    Problem(
        "duplicate-client-id",
        409,
        "The client_id is that of another record",
        "What is stored under this client_id says something else than what was sent under it.",
        "Give another record a client_id of its own; supersede the one in existing_id to correct.",
        ("existing_id", "differs_at"),
    ),
    Problem(
        "already-reserved",
        409,
        "The salvaged part is reserved already",
        "Another reservation holds the part; it is promised once.",
        "Choose another part, or have the reservation in existing_id released first.",
        ("existing_id",),
    ),
    Problem(
        "offer-lapsed",
        409,
        "An offer holds no more",
        "The plan buys by an offer whose last day lies behind: nobody has to sell at that price.",
        "Record the supplier's new offer in place of offer_id, and choose from the options of now.",
        ("offer_id",),
    ),
    Problem(
        "idempotency-in-progress",
        409,
        "The first request is still running",
        "A request with the same Idempotency-Key came before and has not been answered yet.",
        "Wait as long as Retry-After says and send the same request again.",
        ("retry_after_s",),
    ),
    Problem(
        "in-use",
        409,
        "The record is in use",
        "Other records point at this one, so that it cannot be retired.",
        "Retire or change first what stands in used_by.",
        ("used_by",),
    ),
    Problem(
        "stale-version",
        412,
        "The record was changed meanwhile",
        "If-Match names another version than the record has.",
        "Read the record again, and send the change anew with its ETag.",
        ("current_version",),
    ),
    Problem(
        "body-too-large",
        413,
        "The body is too large",
        "The body has more bytes than the call takes.",
        "Send less at once; limit_bytes tells how much.",
        ("limit_bytes",),
    ),
    Problem(
        "media-type",
        415,
        "The body is of the wrong kind",
        "The Content-Type is missing or not taken here, or the body is compressed.",
        "Send one of the types in accepted, not compressed.",
        ("accepted",),
    ),
    Problem(
        "validation",
        422,
        "The request has invalid values",
        "Each entry of errors names a value, what is wrong with it, and the mend.",
        "Mend every value in errors and send the request again.",
        ("errors",),
    ),
    Problem(
        "unknown-parameter",
        422,
        "A query parameter is unknown or repeated",
        "Every parameter is known by name and stands at most once, so that none is ignored.",
        "Correct the name; nearest offers the likeliest.",
        ("parameter", "nearest"),
    ),
    Problem(
        "idempotency-key-reused",
        422,
        "The Idempotency-Key was used for another body",
        "The same key came before with another body.",
        "Use a new key for a new record; repeat an old one only with the same body.",
    ),
    Problem(
        "precondition-required",
        428,
        "The If-Match header is missing",
        "A change must say which version it was made for, so that nobody's work is lost.",
        'Send the ETag that the record was read with, such as If-Match: "3".',
    ),
    Problem(
        "rate-limited",
        429,
        "Too many requests",
        "The key, or the address of a caller without a good key, has used up its requests for now.",
        "Wait as long as Retry-After says; RateLimit, on every answer, tells how many are left.",
        ("retry_after_s",),
    ),
    Problem(
        "internal",
        500,
        "The server failed",
        "Something broke on our side; nothing was stored.",
        "Try again; if it stays, report the request_id.",
    ),
    Problem(
        "busy",
        503,
        "The server is busy",
        "The server or its database had too much to do at once; nothing was stored.",
        "Wait as long as Retry-After says and send the same request again.",
        ("retry_after_s",),
    ),
    Problem(
        "storage-full",
        503,
        "There is no room left to store",
        "The disk under the database is full; nothing was stored.",
        "Tell whoever runs the server; reading still works.",
        ("retry_after_s",),
    ),
    Problem(
        "database-away",
        503,
        "The database does not answer",
        "The server cannot reach its database, or it has not been migrated.",
        "Wait as long as Retry-After says; whoever runs the server: corewright migrate.",
        ("retry_after_s",),
    ),
)

CATALOGUE: Final = {problem.type: problem for problem in _ALL}
RETRY_AFTER_S: Final = 2


def problem_body(
    problem: Problem, detail: str, request_id: str, fix: str | None = None, **members: Any
) -> dict[str, Any]:
    """Return the members of a problem answer, in their usual order."""
    return {
        "type": problem.uri,
        "title": problem.title,
        "status": problem.status,
        "detail": detail,
        "fix": fix or problem.mend,
        "request_id": request_id,
        **members,
    }
