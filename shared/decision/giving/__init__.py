"""Who can give a part: shelf and donors for one position, by the decision's own building code."""
