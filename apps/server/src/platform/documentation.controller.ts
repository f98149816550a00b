import { Controller, Get, Header } from '@nestjs/common';
import { documentationPage, DOCUMENTATION_STYLE } from './documentation.ts';
import { Open } from './endpoint-handler.ts';
import { openApiDocument } from './openapi.ts';

const once = <T>(make: () => T): (() => T) => {
  let made: T | undefined;
  return () => (made ??= make());
};
const document = once(openApiDocument);
const page = once(documentationPage);

@Open()
@Controller('/api')
export class DocumentationController {
  @Get('openapi.json')
  openApi(): unknown {
    return document();
  }

  @Get('docs')
  @Header('content-type', 'text/html; charset=utf-8')
  docs(): string {
    return page();
  }

  @Get('docs.css')
  @Header('content-type', 'text/css; charset=utf-8')
  style(): string {
    return DOCUMENTATION_STYLE;
  }
}
