"""Everything that changes the search log, for `Collection.run`: what the other modules make."""

# ruff: noqa: PLC0414 (all of it is given on)

from core.app.search_boxes import add_box as add_box
from core.app.search_boxes import add_campaign as add_campaign
from core.app.search_boxes import add_search as add_search
from core.app.search_boxes import add_time as add_time
from core.app.search_boxes import delete_box as delete_box
from core.app.search_boxes import delete_campaign as delete_campaign
from core.app.search_boxes import delete_search as delete_search
from core.app.search_boxes import edit_box as edit_box
from core.app.search_boxes import edit_campaign as edit_campaign
from core.app.search_boxes import edit_search as edit_search
from core.app.search_boxes import finish_box as finish_box
from core.app.search_boxes import next_box_number as next_box_number
from core.app.search_boxes import reopen_box as reopen_box
from core.app.search_boxes import set_time as set_time
from core.app.search_finds import add_weighing as add_weighing
from core.app.search_finds import claim as claim
from core.app.search_finds import count_seen as count_seen
from core.app.search_finds import delete_claim as delete_claim
from core.app.search_finds import delete_weighing as delete_weighing
from core.app.search_finds import edit_claim as edit_claim
from core.app.search_finds import edit_find as edit_find
from core.app.search_finds import edit_sighting as edit_sighting
from core.app.search_finds import keep_find as keep_find
from core.app.search_finds import mark_ender as mark_ender
from core.app.search_finds import plain_name as plain_name
from core.app.search_finds import remove_find as remove_find
from core.app.search_finds import remove_sighting as remove_sighting
from core.app.search_rolls import back_roll as back_roll
from core.app.search_rolls import go_to_roll as go_to_roll
from core.app.search_rolls import next_roll as next_roll
from core.app.search_rolls import set_roll_coins as set_roll_coins
from core.app.search_rolls import skip_roll as skip_roll
from core.app.search_sets import add_container as add_container
from core.app.search_sets import add_tally as add_tally
from core.app.search_sets import delete_container as delete_container
from core.app.search_sets import delete_tally as delete_tally
from core.app.search_sets import edit_container as edit_container
from core.app.search_sets import edit_tally as edit_tally
from core.app.search_sets import set_tallies as set_tallies
