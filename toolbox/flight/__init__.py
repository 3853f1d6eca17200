"""The flight engine: masses that can be trusted, dangerous goods, lifting, packing bags for a trip."""
