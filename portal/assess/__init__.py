"""Measures and judges findings: the only caller of `measure` and `judge`.

Each module is named by who needs it: what was judged before is put together (`trial`) without loading what measures.
"""
