"""The flight engine: masses to trust, dangerous goods, lifting, packing bags for a trip."""
