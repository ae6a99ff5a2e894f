"""Structured logs on stderr: readable lines in a terminal, JSON where the settings ask for it."""

import logging
import sys

import structlog


def configure_logs(*, as_json: bool = False, level: int = logging.INFO) -> None:
    """Set up structlog once for the process; every entry carries the request id bound by the web layer."""
    renderer = structlog.processors.JSONRenderer() if as_json else structlog.dev.ConsoleRenderer(colors=False)
    structlog.configure(
        processors=[
            structlog.contextvars.merge_contextvars,
            structlog.processors.add_log_level,
            structlog.processors.TimeStamper(fmt="iso", utc=True),
            structlog.processors.format_exc_info,
            renderer,
        ],
        wrapper_class=structlog.make_filtering_bound_logger(level),
        logger_factory=structlog.PrintLoggerFactory(file=sys.stderr),
        cache_logger_on_first_use=False,
    )
