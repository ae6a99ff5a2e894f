"""Settings from the environment: every name is ``MELTLINE_`` + the field in capitals."""

from pathlib import Path

from pydantic import Field
from pydantic_settings import BaseSettings, SettingsConfigDict


class Settings(BaseSettings):
    """What an installation may set; the defaults serve one machine with an SQLite file.

    Sizes are in bytes, times in seconds unless the name says otherwise.
    """

    model_config = SettingsConfigDict(env_prefix="MELTLINE_", frozen=True)

    data_dir: Path = Path("var")
    database_url: str = ""
    log_json: bool = False
    public_host: str = Field(default="", description="host[:port] that browsers use, when a proxy stands in front")
    secure_cookies: bool = Field(default=False, description="send the session cookie over HTTPS only")
    session_idle_minutes: int = Field(default=8 * 60, ge=5)
    session_max_hours: int = Field(default=7 * 24, ge=1)
    authors_may_sign: bool = Field(
        default=False, description="for sites of one person: who worked on what a finding used may sign it"
    )
    max_upload_bytes: int = Field(default=32 * 1024 * 1024, ge=1024)

    @property
    def db_url(self) -> str:
        """The database's address: the one set, else an SQLite file in the data folder."""
        return self.database_url or f"sqlite:///{self.data_dir / 'meltline.sqlite3'}"

    @property
    def files_dir(self) -> Path:
        """Folder of the uploaded originals, named by their sha256."""
        return self.data_dir / "files"
