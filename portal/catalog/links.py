from portal.catalog.shelf import Shelf


def check_links(shelf: Shelf) -> None:
    """All references."""
