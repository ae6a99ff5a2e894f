"""Going through the upload wizard by HTTP, as a browser without script does."""

import html
import re

from tests.boms import HARBOUR
from webapp.trade.bom import Field


class Wizard:
    """The steps of one draft in one browser."""

    def __init__(self, client):
        self.client = client
        self.token = ""

    def start(self, content=HARBOUR, filename="harbour.csv", *, placement=None, form_key=None, product=""):
        """Send the upload form; the answer. On success the draft's token is kept."""
        if form_key is None:
            form_key = hidden(self.client.get("/uploads/new").text, "form_key")
        files = {"file": (filename, content)}
        if placement is not None:
            files["placement"] = placement
        answer = self.client.post("/uploads", data={"form_key": form_key, "product": product}, files=files)
        if answer.status_code == 303:
            self.token = answer.headers["location"].split("/")[2]
        return answer

    def get(self, step, **query):
        """A step's page."""
        return self.client.get(f"/uploads/{self.token}/{step}", params=query)

    def version(self):
        """The version that the pages' forms carry now."""
        return hidden(self.get("found").text, "version")

    def post(self, step, *, version=None, **data):
        """Send a step's form."""
        data["version"] = version or self.version()
        return self.client.post(f"/uploads/{self.token}/{step}", data=data)

    def post_found(self, **changes):
        """Send the page of what was found as it is shown, with changes."""
        shown = fields(self.get("found").text)
        return self.client.post(f"/uploads/{self.token}/found", data={**shown, **changes})

    def post_columns(self, version=None, **holds):
        """Send the columns as they are shown, with changes by position: ``_2="mpn"``."""
        shown = fields(self.get("columns").text)
        shown |= {f"column{name}": value for name, value in holds.items()}
        if version is not None:
            shown["version"] = version
        return self.client.post(f"/uploads/{self.token}/columns", data=shown)

    def commit(self, code="HL-2", name="Harbour logger", **more):
        """Commit as a new product."""
        return self.post("commit", **{"to": "new", "code": code, "name": name, **more})


CORRECTED = {"_2": Field.MPN.value, "_3": Field.MANUFACTURER.value}


def hidden(text, name):
    """The value of a hidden field."""
    found = re.search(rf'<input type="hidden" name="{name}" value="([^"]*)">', text)
    assert found, f"no hidden field {name}"
    return html.unescape(found[1])


def fields(text):
    """The fields of the page's first form that carries a version: hidden, typed and chosen."""
    form = next(part for part in text.split("<form")[1:] if 'name="version"' in part).split("</form>")[0]
    values = {}
    for tag in re.findall(r"<input\b[^>]*>", form):
        name, value = re.search(r'name="([^"]*)"', tag), re.search(r'value="([^"]*)"', tag)
        values[name[1]] = html.unescape(value[1]) if value else ""
    for name, options in re.findall(r'<select[^>]*name="([^"]*)".*?>(.*?)</select>', form, re.DOTALL):
        chosen = re.search(r'<option value="([^"]*)" selected', options)
        values[name] = html.unescape(chosen[1] if chosen else re.search(r'value="([^"]*)"', options)[1])
    return values


def plain(answer):
    """The text of a page without markup, blanks as one."""
    text = re.sub(r"<(script|style|svg).*?</\1>", " ", answer.text, flags=re.DOTALL)
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", text)).split())
