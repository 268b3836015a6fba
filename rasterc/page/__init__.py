"""The page: a plant in the browser, served to this machine alone.

`server` starts it. A page that knows the token speaks to a `desk` over one websocket: each of its
`requests` is a record, and gets one answer or several. The desk asks the `shelf` for messages made
ready, `keeping` for files, and `crew` for what takes long, which is done in processes of their own.
`front` holds the page itself, and `static` what is made of it.
"""
