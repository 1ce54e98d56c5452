"""Records and what was worked out from them become pages: catalogue and assessments in, bytes out.

`plan` says which derived pictures the pages need, `render` makes the pages; nothing is imported here, so that who wants
one word or one address of a page doesn't load all of them.
"""
