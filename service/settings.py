"""What an installation may set: `LOADING_*` in the environment, defaults for one machine."""

import os
from typing import Literal

from pydantic import Field
from pydantic_settings import BaseSettings, SettingsConfigDict


class Settings(BaseSettings):
    """Frozen once read; an unknown name is an error."""

    model_config = SettingsConfigDict(env_prefix="LOADING_", extra="forbid", frozen=True)

    host: str = Field(default="127.0.0.1", description="Address to listen on.")
    port: int = Field(default=8000, ge=0, le=65535, description="Port to listen on; 0 takes a free one.")
    database_url: str = Field(default="sqlite:///loading.sqlite3", description="Where revisions are kept.")
    log_level: Literal["debug", "info", "warning", "error"] = "info"
    access_log: bool = Field(default=True, description="One line per request.")

    max_body_bytes: int = Field(default=2_000_000, ge=1_000, description="Longest request body.")
    max_batch_bytes: int = Field(default=64_000_000, ge=1_000, description="Longest stream of a batch.")
    max_line_bytes: int = Field(default=1_000_000, ge=100, description="Longest line of a batch.")
    max_json_depth: int = Field(default=32, ge=4, le=128, description="Deepest nesting of a document.")
    max_page_size: int = Field(default=200, ge=1, le=1000, description="Most items of one page of a list.")

    calculation_slots: int = Field(
        default_factory=lambda: os.cpu_count() or 1,
        ge=1,
        description="Calculations that run at the same time.",
    )
    waiting_room: int = Field(
        default=64, ge=0, description="Calculations that may wait for a slot before 503."
    )
    max_batches: int = Field(default=8, ge=1, description="Batches that are answered at the same time.")
    batch_chunk_lines: int = Field(default=128, ge=1, le=1000, description="Lines computed together.")
