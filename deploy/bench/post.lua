-- wrk: post the body named in BODY to every path
local file = assert(io.open(os.getenv("BODY"), "rb"))
wrk.method = "POST"
wrk.body = file:read("*a")
wrk.headers["Content-Type"] = "application/json"
file:close()
