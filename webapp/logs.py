"""Structured logs on stderr: readable lines in a terminal, JSON where the settings ask for it."""

import logging
import sys
from typing import TextIO

import structlog
from structlog.typing import Processor


class _StderrHandler(logging.StreamHandler[TextIO]):
    """Writes to what ``sys.stderr`` is at the moment, which tests and shells exchange."""

    def emit(self, record: logging.LogRecord) -> None:
        self.stream = sys.stderr
        super().emit(record)


def configure_logs(*, as_json: bool = False, level: int = logging.INFO) -> None:
    """Set up logging once for the process, the server's and the libraries' lines included.

    Every entry carries the request id and the person bound by the web layer.
    """
    shared: list[Processor] = [
        structlog.contextvars.merge_contextvars,
        structlog.stdlib.add_log_level,
        structlog.processors.TimeStamper(fmt="iso", utc=True),
        structlog.processors.format_exc_info,
    ]
    structlog.configure(
        processors=[*shared, structlog.stdlib.ProcessorFormatter.wrap_for_formatter],
        wrapper_class=structlog.make_filtering_bound_logger(level),
        logger_factory=structlog.stdlib.LoggerFactory(),
        cache_logger_on_first_use=False,
    )
    renderer: Processor = (
        structlog.processors.JSONRenderer() if as_json else structlog.dev.ConsoleRenderer(colors=False)
    )
    handler = _StderrHandler()
    handler.setFormatter(
        structlog.stdlib.ProcessorFormatter(
            foreign_pre_chain=shared,
            processors=[structlog.stdlib.ProcessorFormatter.remove_processors_meta, renderer],
        )
    )
    root = logging.getLogger()
    for old in [known for known in root.handlers if isinstance(known, _StderrHandler)]:
        root.removeHandler(old)
    root.addHandler(handler)
    root.setLevel(level)
    # Its lines about contexts and implementations say nothing to who runs the server.
    logging.getLogger("alembic").setLevel(logging.WARNING)
