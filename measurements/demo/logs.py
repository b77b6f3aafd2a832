LOGGED_EVERY = 30
def record_log(story, job):
    return None
