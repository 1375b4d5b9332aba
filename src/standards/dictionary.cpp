#include "standards/dictionary.h"
