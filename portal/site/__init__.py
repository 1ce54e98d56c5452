"""Records and what was worked out from them become pages: catalogue and assessments in, bytes out."""

from portal.site.inputs import Page, SiteInput
from portal.site.plan import plan
from portal.site.render import render
from portal.site.static import static

__all__ = ["Page", "SiteInput", "plan", "render", "static"]
