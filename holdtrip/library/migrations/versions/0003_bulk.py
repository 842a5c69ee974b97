"""Numbers accepted in bulk are told apart: two counts more of each part, and what was accepted before.

Until now a part accepted as a whole looked like numbers looked at one by one. Trust may only sink: several
numbers accepted by one change count as accepted in bulk.
"""

import sqlalchemy as sa
from alembic import op

revision = "0003_bulk"
down_revision = "0002_screening"


def upgrade() -> None:
    """Add the columns; name the acceptances in bulk; count both for the states in force."""
    for name in ("single", "in_bulk"):
        column = sa.Column(name, sa.Integer(), nullable=False, server_default=sa.text("0"))
        op.add_column("part_state", column)
    op.execute("""
        UPDATE decision SET verdict = 'accepted_in_bulk' WHERE verdict = 'accepted' AND change_id IN
        (SELECT change_id FROM decision WHERE verdict = 'accepted' GROUP BY change_id HAVING COUNT(*) > 1)""")
    said = "SELECT 1 FROM decision d WHERE d.reading_id = r.id AND d.replaced_by IS NULL AND d.verdict"
    counted = "(SELECT COUNT(*) FROM reading r WHERE r.part_id = part_state.part_id AND"
    op.execute(f"""
        UPDATE part_state SET in_bulk = {counted} EXISTS ({said} = 'accepted_in_bulk')),
        single = {counted} r.status = 'single' AND NOT EXISTS ({said} <> 'reopened'))
        WHERE replaced_by IS NULL""")
