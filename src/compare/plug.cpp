#include "compare/plug.h"
