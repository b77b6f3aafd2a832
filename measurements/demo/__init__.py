"""The demo workshop: invented people, makes and parts; figures from the physics, a seeded scatter and wear."""
