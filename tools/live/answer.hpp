// The function that the module exports to JavaScript.
#pragma once

// request: JSON text, ended by a zero. Returns the answer as JSON text, which stays until the next
// call.
extern "C" const char* answer(const char* request);
