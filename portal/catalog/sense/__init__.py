"""What a record can get wrong by itself, though each of its values is well written."""

from portal.catalog.sense.mould import of_mould, of_trial
from portal.catalog.sense.part import of_part, of_sample
from portal.catalog.sense.remark import Remark, Remarks
from portal.catalog.sense.scope import of_scope
from portal.catalog.sense.shop import of_customer, of_defect, of_shop
from portal.catalog.sense.standard import of_standard
from portal.catalog.sense.tag import of_tag
from portal.model.base import Record
from portal.model.mould import Mould, Trial
from portal.model.part import Part
from portal.model.sample import LimitSample
from portal.model.scope import Scope
from portal.model.shop import Customer, Shop
from portal.model.standard import DefectClass, VisualStandard
from portal.model.tag import Tag

__all__ = ["Remark", "remarks_on"]

_BY_KIND = {
    Shop: of_shop,
    Customer: of_customer,
    DefectClass: of_defect,
    VisualStandard: of_standard,
    Part: of_part,
    LimitSample: of_sample,
    Scope: of_scope,
    Mould: of_mould,
    Trial: of_trial,
    Tag: of_tag,
}


def remarks_on(record: Record) -> Remarks:
    """All that is wrong within one record."""
    look = _BY_KIND.get(type(record))
    return look(record) if look else iter(())  # type: ignore[operator]  # the table pairs each kind with its own look
