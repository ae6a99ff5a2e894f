"""The one family of errors that people see.

Each error carries an HTTP status, a short code for programs, one sentence for the person and, where one field is
to blame, its name. Business code raises these and knows nothing of HTTP responses: the web layer turns them into a
fragment, a page or problem+json, the command line into one line and an exit code.
"""


class MeltlineError(Exception):
    """Base of all errors meant for a person: ``status``, ``code``, ``message``, ``field``."""

    status = 500
    code = "error"

    def __init__(self, message: str, *, field: str | None = None, code: str | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.field = field
        if code is not None:
            self.code = code


class InvalidInputError(MeltlineError):
    """What was typed or sent does not hold: the field says where, the message what was expected."""

    status = 422
    code = "invalid_input"


class UnreadableFileError(MeltlineError):
    """A file cannot be read at all: damaged, protected, of another kind, or past a limit."""

    status = 422
    code = "unreadable_file"


class NotUsableError(MeltlineError):
    """A file was read, but it is not what is needed here, such as a file that is no board BOM."""

    status = 422
    code = "not_usable"


class TooLargeError(MeltlineError):
    """A request or file is past a size limit; the message names the limit."""

    status = 413
    code = "too_large"


class SignInNeededError(MeltlineError):
    """Nobody is signed in, or the session is over."""

    status = 401
    code = "sign_in_needed"


class NotAllowedError(MeltlineError):
    """The person's roles do not cover the action, or the request came from another site."""

    status = 403
    code = "not_allowed"


class NotFoundError(MeltlineError):
    """The thing named in the address does not exist, or not for this person."""

    status = 404
    code = "not_found"


class ConflictError(MeltlineError):
    """Somebody else changed the thing in between, or it is no longer in the state the action needs."""

    status = 409
    code = "conflict"


class TooManyTriesError(MeltlineError):
    """Too many failed attempts; the message says when to try again."""

    status = 429
    code = "too_many_tries"
